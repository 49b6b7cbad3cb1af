// A unit at its door and an engineer at the bench: the report form and its receipt on a phone with and without script,
// the unit's own page, the paper with its link, and sorting by keys alone.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launch, Person, PHONE } from "./browser.mjs";
import { startDemo } from "./program.mjs";

const CODE = /[2-9A-Z]{4}-[2-9A-Z]{4}/;

let browser;
let demo;
let engineer;
let form;

before(async () => {
  [browser, demo] = await Promise.all([launch(), startDemo()]);
  engineer = await Person.at(browser);
  await engineer.signIn(demo.links.engineer);
  form = await newLink("store room door");
});

after(async () => {
  await engineer?.close();
  await browser?.close();
  await demo?.stop();
});

// Makes a link for COVE-2 and gives the address that its paper shows.
async function newLink(label) {
  await engineer.visit(`${demo.base}/units/COVE-2`);
  await engineer.page.getByLabel("Where will it hang?").fill(label);
  await engineer.submit(engineer.page.getByRole("button", { name: "Make the link" }));
  assert.equal(await engineer.page.getByRole("img", { name: "Square code for COVE-2" }).isVisible(), true);
  return (await engineer.page.locator(".secret").innerText()).trim();
}

async function answerThree(page, story) {
  await page.getByLabel("What happened?").fill(story);
  await page.getByRole("radio", { name: "Nobody", exact: true }).check();
  await page.getByRole("radio", { name: "load pack" }).check();
}

for (const script of [true, false]) {
  for (const ground of ["light", "dark"]) {
    test(`three answers on a phone lead to a receipt, ${script ? "with" : "without"} script on ${ground} ground`, async () => {
      const unit = await Person.at(browser, { viewport: PHONE, ground, script });
      await unit.visit(form);
      await answerThree(unit.page, `zipper split at the slider, ${script} ${ground}`);
      await unit.submit(unit.page.getByRole("button", { name: "Send the report" }));
      const code = (await unit.page.locator(".receipt-code").innerText()).trim();
      assert.match(code, CODE);
      assert.match(await unit.page.locator("main").innerText(), /out of use/);

      await unit.visit(form.replace("/report/", "/unit/"));
      await unit.submit(unit.page.getByRole("link", { name: code }));
      assert.match(await unit.page.locator("main").innerText(), new RegExp(`${script} ${ground}`));
      await unit.close();
    });
  }
}

test("what can be touched on the form is large enough for a cold thumb", async () => {
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(form);
  await unit.page.locator("details.more").evaluate((details) => (details.open = true));
  const small = await unit.page
    .locator("form :is(.choices label, select, textarea, input[type=text], input[type=date], input[type=number], input[type=file], button, summary)")
    .evaluateAll((all) => all.filter((one) => !one.closest("[hidden]") && one.getBoundingClientRect().height < 44).map((one) => one.outerHTML));
  assert.deepEqual(small, []);
  await unit.sound();
  await unit.close();
});

test("an empty form comes back saying what is missing", async () => {
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(form);
  await unit.page.locator("form").evaluate((one) => (one.noValidate = true));
  // With script the page stays: what the server says is put above the form.
  await unit.page.getByRole("button", { name: "Send the report" }).click();
  await unit.page.getByRole("alert").getByRole("link").first().waitFor();
  await unit.sound();
  const links = await unit.page.getByRole("alert").getByRole("link").allInnerTexts();
  assert.equal(links.length, 3);
  await unit.page.getByRole("alert").getByRole("link").first().click();
  assert.equal(new URL(unit.page.url()).hash, "#story");
  await unit.close();
});

test("a revoked link opens nothing", async () => {
  const address = await newLink("lost boat");
  await engineer.visit(`${demo.base}/units/COVE-2`);
  await engineer.submit(engineer.page.getByRole("link", { name: "Revoke the link at lost boat" }));
  await engineer.submit(engineer.page.getByRole("button", { name: "Revoke the link" }));
  const unit = await Person.at(browser, { viewport: PHONE });
  assert.equal((await unit.visit(address)).status(), 404);
  await unit.close();
});

test("a report is sorted by keys alone, and the last one is taken back", async () => {
  const { page } = engineer;
  await engineer.visit(`${demo.base}/sorting`);
  const own = page.getByRole("row", { name: /zipper split at the slider/ }).first().getByRole("link");
  await engineer.submit(own);
  const sheet = page.url();
  assert.equal(await page.locator("mark").first().isVisible(), true);
  assert.equal(await page.locator(".guesses .key").first().isVisible(), true);

  await page.keyboard.press("1");
  assert.notEqual(await page.getByLabel("Mode", { exact: true }).inputValue(), "");
  assert.equal(await page.locator(".guesses a[aria-current=true]").count(), 1);
  assert.match(await page.locator("[role=status]").innerText(), /^Taken: ./);
  await engineer.sound();
  assert.equal(page.url(), sheet);
  // A unit need not have said which part; where several are of the kind, the engineer does.
  if ((await page.getByLabel("Part", { exact: true }).inputValue()) === "") {
    await page.getByLabel("Part", { exact: true }).selectOption({ index: 1 });
    await page.keyboard.press("Escape");
  }
  await page.keyboard.press("c");
  assert.equal(await page.locator("[name=chargeable][value=no]").isChecked(), true);
  await page.keyboard.type("made otherwise than drawn");
  await page.keyboard.press("Escape");
  await Promise.all([page.waitForURL(/done=/), page.keyboard.press("s")]);
  await engineer.sound();

  await Promise.all([page.waitForURL(sheet), page.keyboard.press("z")]);
  await engineer.sound();
  assert.equal(await page.locator("[name=chargeable][value=yes]").isChecked(), true);

  await Promise.all([page.waitForURL((url) => url.href !== sheet), page.keyboard.press("n")]);
  await engineer.sound();
});

test("a key that is held down does its work once", async () => {
  const { page } = engineer;
  await engineer.visit(`${demo.base}/sorting`);
  await engineer.submit(page.getByRole("link", { name: "Begin with the first" }));
  const held = await page.evaluate(() => {
    const isYes = () => document.querySelector("[name=chargeable][value=yes]").checked;
    const press = (repeat) => document.body.dispatchEvent(new KeyboardEvent("keydown", { key: "c", repeat, bubbles: true }));
    const before = isYes();
    press(true);
    const after = isYes();
    press(false);
    return [after === before, isYes() === before];
  });
  assert.deepEqual(held, [true, false]);
});

test("an empty form says in the browser already that three answers are wanted", async () => {
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(form);
  const wanted = await unit.page.locator(".report-form").evaluate((one) => [...one.querySelectorAll(":invalid")].map((field) => field.name));
  assert.deepEqual([...new Set(wanted)].filter(Boolean), ["story", "harm", "item"]);
  await unit.close();
});

test("keys can be turned off and stay off", async () => {
  const { page } = engineer;
  await engineer.visit(`${demo.base}/sorting`);
  await engineer.submit(page.getByRole("link", { name: "Begin with the first" }));
  const sheet = page.url();
  await page.getByRole("button", { name: "Keys are on" }).click();
  await page.keyboard.press("n");
  await page.reload();
  assert.equal(await page.locator(".key").first().isVisible(), false);
  assert.equal(page.url(), sheet);
  await page.getByRole("button", { name: "Keys are off" }).click();
  assert.equal(await page.locator(".key").first().isVisible(), true);
});

test("a suggestion works without script as a link that fills the form", async () => {
  const plain = await Person.at(browser, { script: false });
  await plain.context.addCookies(await engineer.context.cookies());
  await plain.visit(`${demo.base}/sorting`);
  const own = plain.page.getByRole("row", { name: /zipper split at the slider/ }).first().getByRole("link");
  await plain.submit(own);
  await plain.submit(plain.page.locator(".guesses a").first());
  assert.notEqual(await plain.page.getByLabel("Mode", { exact: true }).inputValue(), "");
  await plain.close();
});
