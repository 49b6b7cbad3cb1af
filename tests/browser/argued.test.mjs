// A change argued in a real browser: part numbers climb level by level, options stand side by side, a remark and a file
// stay in the sheet, and the retrofit is followed by unit.

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

// The addresses of changes that stand in a state.
async function changes(person, state) {
  await person.visit(`${demo.base}/changes`);
  const rows = person.page.locator("main tbody tr").filter({ hasText: state });
  return rows.locator('a[href^="/changes/"]').evaluateAll((links) => links.map((link) => link.href));
}

test("a draft's part numbers are answered level by level, and a remark and a file stay in the sheet", async () => {
  const engineer = await Person.at(browser);
  const { page } = engineer;
  await engineer.signIn(demo.links.engineer);
  const [draft] = await changes(engineer, "draft");
  await engineer.visit(`${draft}/edit/part-numbers`);
  const keep = page.getByRole("button", { name: "Keep this section" });
  await page.getByRole("radio", { name: "No", exact: true }).first().check();
  await page.getByLabel("Why").first().fill("The handle is longer.");
  await page.getByLabel("Signed (your name)").fill("Oda Fell");
  await engineer.submit(keep);
  assert.match(await page.locator("main").textContent(), /Answer this level too: the change reaches it\./);
  await page.getByRole("radio", { name: /^Yes, without selection/ }).last().check();
  await engineer.submit(keep);
  assert.match(await page.locator("#part-numbers").textContent(), /New number.*The handle is longer\..*Signed Oda Fell/s);

  await page.getByLabel("A remark").fill("Ask the maker for a drawing.");
  await engineer.submit(page.getByRole("button", { name: "Add the remark" }));
  const note = { name: "note.txt", mimeType: "text/plain", buffer: Buffer.from("a longer handle") };
  await page.getByLabel("A file to enclose").setInputFiles(note);
  await engineer.submit(page.getByRole("button", { name: "Enclose the file" }));
  const remarks = await page.locator("#remarks").textContent();
  assert.ok(remarks.includes("Ask the maker for a drawing.") && remarks.includes("note.txt"), remarks);
  await page.setViewportSize(PHONE);
  await engineer.sound();
  await engineer.close();
});

test("options of retrofit stand side by side and the retrofit is followed by unit", async () => {
  const board = await Person.at(browser);
  const { page } = board;
  await board.signIn(demo.links.board);
  // A change that came with books has no prediction to compare options by.
  const submitted = (await changes(board, "submitted")).find((address) => /\/changes\/\d{4}-/.test(address));
  await board.visit(submitted);
  const options = page.locator("#costs tbody tr");
  assert.equal(await options.count(), 4);
  assert.match(await options.last().textContent(), /All issued items are called back\..*avoided \(.*EUR/s);
  const [built] = await changes(board, "cut in");
  await board.visit(`${built}/campaign`);
  assert.match(await page.locator("main .lead").textContent(), /^Since .* to go, .* built to the change\.$/);
  assert.ok((await page.locator("main tbody tr").count()) > 1, "a row for each unit");
  await board.close();
});
