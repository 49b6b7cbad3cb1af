// A unit is spoken to in its own language: as its browser asks, or as it chooses, with signal and without.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launch, Person, PHONE } from "./browser.mjs";
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

const languageOf = (page) => page.evaluate(() => document.documentElement.lang);

test("a browser that asks for German gets the form, what is wrong, the receipt and the unit's page in German", async () => {
  const unit = await Person.at(browser, { viewport: PHONE, locale: "de-AT" });
  const { page } = unit;
  await unit.visit(demo.report);
  assert.equal(await languageOf(page), "de");
  await page.getByLabel("Was ist geschehen?").fill("Reißverschluss aufgegangen");
  // What the browser asks for it says in its own language; here the server is to say it.
  await page.locator(".report-form").evaluate((form) => (form.noValidate = true));
  await page.getByRole("button", { name: "Meldung senden" }).click();
  await page.getByRole("alert").getByText("Wählen Sie, welcher Gegenstand es war.").waitFor();
  await unit.sound();
  await page.getByRole("radio", { name: "Niemand", exact: true }).check();
  await page.getByRole("radio", { name: "load pack" }).check();
  await unit.submit(page.getByRole("button", { name: "Meldung senden" }));
  await page.waitForURL(/\/follow\//);
  assert.equal(await page.getByRole("heading", { level: 1 }).innerText(), "Ihre Meldung ist angekommen");
  assert.match(await page.locator("main").innerText(), /am \d+\. (Januar|Februar|März|April|Mai|Juni|Juli|August|September|Oktober|November|Dezember) \d{4}/);
  await unit.visit(demo.report.replace("/report/", "/unit/"));
  await page.getByRole("heading", { name: "Was Sie gemeldet haben" }).waitFor();
  await unit.close();
});

test("a language that was chosen stays, without script too, and an error is told in it", async () => {
  const unit = await Person.at(browser, { viewport: PHONE, script: false });
  const { page } = unit;
  await unit.visit(demo.report);
  await Promise.all([page.waitForNavigation(), page.getByRole("link", { name: "Français" }).click()]);
  assert.equal(page.url(), demo.report, "the address stays the form's own");
  assert.equal(await page.getByRole("heading", { level: 1 }).innerText(), "Signaler une défaillance");
  await unit.visit(`${demo.base}/follow/nothing`);
  assert.match(await page.locator("main").innerText(), /Cette adresse n’ouvre aucun récépissé/);
  await unit.visit(demo.report);
  assert.equal(await page.locator("html").getAttribute("lang"), "fr");
  await unit.close();
});

test("the form opens without signal in the language it was last seen in", async () => {
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await unit.visit(demo.report);
  await Promise.all([page.waitForNavigation(), page.getByRole("link", { name: "Deutsch" }).click()]);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.reload();
  assert.equal(await languageOf(page), "de");
  await unit.context.setOffline(true);
  await page.reload();
  assert.equal(await page.getByRole("heading", { level: 1 }).innerText(), "Ausfall melden");
  await page.getByLabel("Was ist geschehen?").fill("Naht offen");
  await page.getByRole("radio", { name: "Niemand", exact: true }).check();
  await page.getByRole("radio", { name: "load pack" }).check();
  await page.getByRole("button", { name: "Meldung senden" }).click();
  await page.getByText("Kein Empfang oder keine Antwort.").waitFor();
  await unit.context.setOffline(false);
  await page.getByText("Angekommen. Quittung").waitFor({ timeout: 60_000 });
  await unit.close();
});
