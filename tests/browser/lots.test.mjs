// From a lot that stands out to whom it concerns, in a real browser: lineage, holders on a date, file and notice.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, test } from "node:test";
import { DESK, launch, Person, PHONE } from "./browser.mjs";
import { startDemo } from "./program.mjs";

let browser;
let demo;

before(async () => {
  [browser, demo] = await Promise.all([launch(), startDemo()]);
});

after(async () => {
  await browser?.close();
  await demo?.stop();
});

// The worst recurrence in which a lot is suspected; others come before it where somebody could get hurt.
async function openSuspected(person) {
  const { page } = person;
  const listed = await page.locator('main a[href^="/recurrences/"]').all();
  const addresses = await Promise.all(listed.map((link) => link.getAttribute("href")));
  for (const address of new Set(addresses)) {
    await page.goto(demo.base + address);
    if (await page.getByRole("link", { name: "Who holds it" }).count()) return person.sound();
  }
  assert.fail("no lot is suspected in the demo's books");
}

const ways = {
  "with script at a desk": { role: "engineer", options: { viewport: DESK } },
  "without script on a phone": { role: "board", options: { viewport: PHONE, script: false } },
  "on a phone": { role: "administrator", options: { viewport: PHONE, ground: "dark" } },
};
for (const [way, { role, options }] of Object.entries(ways)) {
  test(`who holds a suspected lot is found from its recurrence ${way}`, async () => {
    const person = await Person.at(browser, options);
    const { page } = person;
    const follow = async (name) => person.submit(page.getByRole("link", { name }).first());
    await person.signIn(demo.links[role]);
    await person.visit(`${demo.base}/recurrences`);
    await openSuspected(person);
    await follow("Who holds it");
    assert.match(await page.locator("main .lead").textContent(), /units? held [\d,]+ .*items that contain/);

    const coming = page.waitForEvent("download");
    await page.getByRole("link", { name: "The same as a CSV file" }).click();
    const file = await coming;
    assert.match(file.suggestedFilename(), /^holders-[\w-]+\.csv$/);
    const rows = (await readFile(await file.path(), "utf8")).trim().split("\n");
    assert.ok(rows.length > 1 && rows[0].startsWith("on,unit,"), rows[0]);

    await page.getByLabel("On the date").fill("2000-01-01");
    await person.submit(page.getByRole("button", { name: "Show" }));
    assert.match(await page.locator("main .lead").textContent(), /On 1 Jan 2000 nobody held/);
    await page.goBack();

    await follow("Draft a notice to these units");
    const sheets = page.locator("article.notice");
    assert.ok((await sheets.count()) > 0);
    assert.match(await sheets.first().textContent(), /Suspected nonconforming.*To .*Set aside/s);
    await follow("Back to who holds it");

    await follow("Its lineage");
    await follow("The lot's page");
    const told = page.getByRole("region", { name: "What recurrences tell of this lot" });
    assert.match(await told.textContent(), /times \([\d.]+ to [\d.]+\)\s*shown/, "the suspected lot tells why");
    await page.goBack();
    assert.equal(await page.locator("svg.c-lineage").count(), 1);
    await person.submit(page.locator("section table a.code").first());
    assert.match(await page.locator("h1").textContent(), /^Lineage of lot /);
    await follow("The lot's page");
    await person.close();
  });
}
