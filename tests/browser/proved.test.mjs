// The end of the thread: books with a change that worked come in, its proof is recorded as the figures say, and its recurrence is
// settled once the cause is on record and somebody accepts what remains by name. The books are invented.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { bringIn, csv, day } from "./books.mjs";
import { launch, Person } from "./browser.mjs";
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

// 3,000 guide bags with the old slide fastener from June 2021, 3,000 with the new one from September 2023; 100 of the old fail in
// three years, four of the new in two.
function books() {
  const failed = (lot, count, start, every) =>
    Array.from({ length: count }, (_, n) => `${lot}-${n},${day(start, n * every)},GB-BASE,GB-700,${lot},read,GB-731,ZIP-1,none,yes,yes`);
  return [
    csv("units", "unit,kind", ["GB-BASE,wearing"]),
    csv("parts", "part_no,revision,name,kind,replaces_revision,change_no", [
      "GB-700,A,guide bag,ITEM,,",
      "GB-700,B,guide bag,ITEM,A,CH-23-700",
      "GB-731,A,bag slide fastener,ZIP,,",
      "GB-731,B,bag slide fastener,ZIP,A,CH-23-700",
    ]),
    csv("structure", "parent_part_no,parent_revision,child_part_no,child_revision,quantity", ["GB-700,A,GB-731,A,1", "GB-700,B,GB-731,B,1"]),
    csv("lots", "lot_no,part_no,revision,made_on,quantity", ["GB-01,GB-700,A,2021-05-01,3000", "GB-02,GB-700,B,2023-08-01,3000"]),
    csv("movements", "moved_on,kind,lot_no,unit,quantity", ["2021-06-01,issue,GB-01,GB-BASE,3000", "2023-09-01,issue,GB-02,GB-BASE,3000"]),
    csv("changes", "change_no,title,part_no,from_revision,to_revision,modes,state,cut_in_lot,cut_in_on", [
      "CH-23-700,Coated slider,GB-731,A,B,ZIP-1,cut in,GB-02,2023-08-01",
    ]),
    csv("effectivity", "change_no,stage,from_lot,from_date", ["CH-23-700,accomplished,GB-02,2023-08-01"]),
    csv("reports", "report_ref,found_on,unit,item_part_no,lot_text,lot_known,part_no,mode,harm,relevant,chargeable", [
      ...failed("GB-01", 100, "2021-07-01", 11),
      ...failed("GB-02", 4, "2023-10-01", 150),
    ]),
  ];
}

test("a change that worked is proved, and its recurrence is settled in somebody's name", async () => {
  const engineer = await Person.at(browser);
  const { page } = engineer;
  await engineer.signIn(demo.links.engineer);
  await bringIn(engineer, demo.base, books(), "/recurrences/GB-731/ZIP-1");

  await engineer.visit(`${demo.base}/recurrences/GB-731/ZIP-1/settle`);
  const lacking = await page.locator("main").innerText();
  assert.match(lacking, /the proof that the change worked/);
  assert.match(lacking, /the cause, or why none was found/);

  await engineer.visit(`${demo.base}/changes/CH-23-700`);
  assert.match(await page.locator("#proof").innerText(), /it worked: shown/);
  await engineer.submit(page.getByRole("button", { name: /Record the proof/ }));
  assert.match(await page.locator(".title-block").innerText(), /State\s+proved/);

  await engineer.visit(`${demo.base}/recurrences/GB-731/ZIP-1`);
  await page.getByLabel("Cause", { exact: false }).first().fill("Salt wears the slider; the coating keeps it off.");
  await engineer.submit(page.locator('form[action$="/note"] button'));
  await engineer.visit(`${demo.base}/recurrences/GB-731/ZIP-1/settle`);
  await page.getByLabel("The stock that was not converted").fill("Runs out by the end of next year; checked at each issue.");
  await page.getByLabel("What risk remains").fill("About 11 failures in 1,000 item-years on the old lot, none with harm so far.");
  // As if the browser held nothing back: the server has the last word.
  await page.locator("main form").evaluate((form) => (form.noValidate = true));
  await engineer.submit(page.getByRole("button", { name: "Settle it" }));
  assert.equal(await page.getByLabel("Who accepts it").getAttribute("aria-invalid"), "true", "nobody settles without a name");
  await page.getByLabel("Who accepts it").fill("Jon Skerry, board chair");
  await engineer.submit(page.getByRole("button", { name: "Settle it" }));
  const settled = await page.locator("main").innerText();
  assert.match(settled, /settled/i);
  assert.match(settled, /Jon Skerry, board chair/);
  await engineer.close();
});
