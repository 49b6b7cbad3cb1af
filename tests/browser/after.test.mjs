// What follows an approval, in a browser: conditions bar the cut-in, units are told what to do, the office takes its table away.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { DESK, launch, Person, PHONE } from "./browser.mjs";
import { startDemo } from "./program.mjs";

let browser;
let demo;
let engineer;
before(async () => {
  [browser, demo] = await Promise.all([launch(), startDemo()]);
  // A sign-in link works once.
  engineer = await Person.at(browser, { viewport: DESK });
  await engineer.signIn(demo.links.engineer);
});
after(async () => {
  await engineer?.close();
  await browser?.close();
  await demo?.stop();
});

const hrefs = (page, selector) => page.locator(selector).evaluateAll((all) => all.map((one) => one.getAttribute("href")));

test("a condition of the approval bars the cut-in until it is met", async () => {
  const { page } = engineer;
  await engineer.visit(`${demo.base}/status?state=approved`);
  const changes = await hrefs(page, 'main th a[href^="/changes/20"]');
  let sheet;
  for (const one of changes) {
    await engineer.visit(demo.base + one);
    if (await page.locator("#actions a[href$='/done']").count()) sheet = one;
  }
  assert.ok(sheet, "the demo has a change approved on conditions");
  await engineer.visit(`${demo.base}${sheet}/cut-in`);
  const conditions = await hrefs(page, 'main .problems a[href$="/done"]');
  assert.equal(conditions.length, 2);
  for (const condition of conditions) {
    await engineer.visit(demo.base + condition);
    await page.getByLabel("What shows it").fill("Protocol 12, kept with the drawing.");
    await engineer.submit(page.getByRole("button", { name: "It is done" }));
  }
  await engineer.visit(`${demo.base}${sheet}/cut-in`);
  assert.equal(await page.locator("main .problems").count(), 0);
});

test("an order is given, read by the unit that holds the lot, and withdrawn", async () => {
  const { page } = engineer;
  await engineer.visit(`${demo.base}/cases`);
  const [kase] = await hrefs(page, "main tbody th a");
  await engineer.visit(demo.base + kase);
  await engineer.visit(demo.base + (await hrefs(page, 'main dd a[href^="/lots/"]'))[0]);
  assert.match(await page.locator("#condition").innerText(), /on hold/i);
  await page.getByRole("link", { name: "Give an instruction about it" }).click();
  await engineer.sound();
  await page.locator('input[name="kind"][value="stop use"]').check();
  await page.getByLabel("What to do, in words for a unit").fill("Browser: hand it in today.");
  await page.getByLabel("By whose order").fill("Head of the service");
  const part = await page.getByLabel("Part number", { exact: true }).inputValue();
  await page.getByLabel("Part number", { exact: true }).fill("NONE");
  await engineer.submit(page.getByRole("button", { name: "Give it" }));
  assert.match(await page.locator("main").innerText(), /No part has the number NONE/);
  await page.getByLabel("Part number", { exact: true }).fill(part);
  await engineer.submit(page.getByRole("button", { name: "Give it" }));
  assert.match(page.url(), /\/instructions\/I-\d{4}-\d{3}$/);
  const order = page.url();
  await engineer.visit(`${demo.base}/instructions`);
  assert.match(await page.locator("main").innerText(), /stop use/);
  await engineer.visit(`${order}/withdraw`);
  await page.getByLabel("Why").fill("Replaced.");
  await engineer.submit(page.getByRole("button", { name: "Withdraw it" }));
  assert.match(await page.locator("main").innerText(), /withdrawn/i);
});

test("the office sorts its table, takes it away and sees the reach of each change", async () => {
  const board = await Person.at(browser, { viewport: PHONE });
  const { page } = board;
  await board.signIn(demo.links.board);
  for (const path of ["/status", "/status?sort=failures", "/variances", "/digest"]) await board.visit(demo.base + path);
  await board.visit(`${demo.base}/status`);
  const [book] = await hrefs(page, 'main a[href^="/status.xlsx"]');
  const file = await page.request.get(demo.base + book);
  // A workbook is a zip.
  assert.deepEqual([...(await file.body()).subarray(0, 2)], [0x50, 0x4b]);
  await board.visit(demo.base + (await hrefs(page, 'main td a[href^="/status/"]'))[0]);
  await board.close();
});
