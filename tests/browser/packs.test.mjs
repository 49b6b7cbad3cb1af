// Books in and out in a real browser, with script and without.

import assert from "node:assert/strict";
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

const csv = (name, text) => ({ name, mimeType: "text/csv", buffer: Buffer.from(text) });

async function send(person, files) {
  await person.visit(`${demo.base}/packs`);
  await person.page.getByLabel("Bring books in").setInputFiles(files);
  await person.submit(person.page.getByRole("button", { name: "Send and check" }));
}

const ways = {
  "with script at a desk": { role: "engineer", unit: "TARN-8", options: { viewport: DESK } },
  "without script on a phone": { role: "administrator", unit: "TARN-9", options: { viewport: PHONE, script: false } },
};
for (const [way, { role, unit, options }] of Object.entries(ways)) {
  test(`a pack is sent, looked at and taken in ${way}`, async () => {
    const person = await Person.at(browser, options);
    await person.signIn(demo.links[role]);

    await send(person, [csv("pack.zip", "no zip")]);
    assert.match(await person.page.locator("#pack-problem").textContent(), /called a zip, but it isn't one/);

    await send(person, [csv("units.csv", `unit,kind\n${unit},wearing\nTARN-7,ship\n`)]);
    assert.match(await person.page.locator("main").textContent(), /2 rows in 1 file: 1 good, 1 refused/);
    assert.equal(await person.page.getByRole("button", { name: "Take it all in" }).count(), 0);

    await person.page.getByRole("button", { name: "Keep the 1 good row" }).click();
    await person.page.locator(".done").waitFor();
    assert.match(await person.page.locator(".done").textContent(), /1 new row in the books/);
    await person.sound();

    await person.visit(`${demo.base}/packs`);
    const download = person.page.waitForEvent("download");
    await person.page.getByRole("link", { name: "Export the books" }).click();
    assert.match((await download).suggestedFilename(), /^bartack-\d{4}-\d\d-\d\d\.zip$/);

    for (const page of ["/catalogue", "/catalogue?kind=ZIP", "/journal", "/journal?noun=unit"]) {
      await person.visit(`${demo.base}${page}`);
    }
    await person.close();
  });
}
