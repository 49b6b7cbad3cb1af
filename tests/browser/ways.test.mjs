// Other ways in: a list of failures matched, sent and taken back, with script and without; a mail that waits; exhibits.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { DESK, launch, Person, PHONE } from "./browser.mjs";
import { startDemo } from "./program.mjs";

let browser;
let demo;
let engineer;

before(async () => {
  [browser, demo] = await Promise.all([launch(), startDemo()]);
  engineer = await Person.at(browser, { viewport: DESK });
  await engineer.signIn(demo.links.engineer);
});

after(async () => {
  await engineer?.close();
  await browser?.close();
  await demo?.stop();
});

const main = (person) => person.page.locator("main").innerText();

for (const [way, role, options] of [
  ["by a unit on a phone without script", "unit", { viewport: PHONE, script: false }],
  ["by an engineer at a desk", "engineer", {}],
]) {
  test(`a list is matched, sent once and taken back ${way}`, async () => {
    const person = role === "engineer" ? engineer : await Person.at(browser, options);
    if (role !== "engineer") await person.signIn(demo.links[role]);
    const list = `Date,Article,Injury?,What went wrong\n03/04/2025,RC-100,none,strap frayed (${way})\n04/04/2025,RC-100,perhaps,buckle cracked\n`;
    await person.visit(`${demo.base}/reports/upload`);
    await person.page.getByLabel("Send a list").setInputFiles({ name: "april.csv", mimeType: "text/csv", buffer: Buffer.from(list) });
    await person.submit(person.page.getByRole("button", { name: "Go on" }));

    await person.page.getByLabel("What What went wrong means").selectOption("story");
    await person.page.getByRole("radio", { name: /^Day first/ }).check();
    if (role === "engineer") await person.page.getByLabel("The unit that all rows are of").selectOption("COVE-2");
    await person.submit(person.page.getByRole("button", { name: "Show how the rows read" }));
    assert.match(await main(person), /3 Apr 2025/);
    assert.match(await main(person), /Expected one of none, near miss, injury\./);
    await person.submit(person.page.getByRole("button", { name: "Send 1 report and leave the rest out" }));
    assert.match(await main(person), /1 report was sent on .*1 row was left out\./s);

    await person.page.getByLabel("Why it is taken back").fill("The wrong month");
    await person.submit(person.page.getByRole("button", { name: "Take the list back" }));
    assert.match(await main(person), /Taken back on .*The wrong month\./s);
    await person.submit(person.page.locator("tbody th a").first());
    assert.match(await main(person), role === "unit" ? /It was taken back on/ : /taken back with list/);
    if (role !== "engineer") await person.close();
  });
}

test("a mail that waits becomes a report, and an exhibit is found, moved and released for a reason", async () => {
  await engineer.visit(`${demo.base}/reports/mailed`);
  await engineer.submit(engineer.page.getByRole("link", { name: "crew@ridge.example" }));
  assert.match(await main(engineer), /the side buckle cracked in the cold/);
  await engineer.page.getByLabel("Unit it happened to").selectOption("COVE-2");
  await engineer.page.getByLabel("Item").selectOption({ index: 1 });
  await engineer.submit(engineer.page.getByRole("button", { name: "Make it a report" }));
  assert.match(await main(engineer), /No mail waits/);

  await engineer.visit(`${demo.base}/exhibits`);
  assert.match(await engineer.page.locator("tbody tr").first().innerText(), /hold ended/);
  await engineer.submit(engineer.page.locator("tbody th a").first());
  const exhibit = engineer.page.url();
  await engineer.submit(engineer.page.getByRole("link", { name: "Say where it is now" }));
  await engineer.page.getByLabel("Where it is").fill("Workshop, drawer 2");
  await engineer.submit(engineer.page.getByRole("button", { name: "Keep it" }));
  assert.match(await main(engineer), /Workshop, drawer 2/);
  await engineer.visit(`${exhibit}/tag`);
  await engineer.visit(`${exhibit}/release`);
  await engineer.page.getByLabel("To where or whom").fill("The maker");
  await engineer.page.getByLabel("Why it goes all the same").fill("The maker cuts it up; pictures are with the report.");
  await engineer.submit(engineer.page.getByRole("button", { name: "Release it" }));
  assert.match(await main(engineer), /Released to The maker on/);
});
