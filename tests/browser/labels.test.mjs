// Labels photographed on the form: symbols are made by the writer of the same library, and read back in the browser.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";
import { prepareZXingModule, writeBarcode } from "zxing-wasm/writer";
import { prepareZXingModule as prepareReader, readBarcodes } from "zxing-wasm/reader";
import { DESK, launch, Person, PHONE } from "./browser.mjs";
import { startDemo } from "./program.mjs";

const wasm = createRequire(import.meta.url).resolve("zxing-wasm/writer/zxing_writer.wasm");
prepareZXingModule({ overrides: { wasmBinary: await readFile(wasm) } });

const readerWasm = createRequire(import.meta.url).resolve("zxing-wasm/reader/zxing_reader.wasm");
prepareReader({ overrides: { wasmBinary: await readFile(readerWasm) } });

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

async function photographOf(text, format, options = "") {
  const { image, error } = await writeBarcode(text, { format, scale: 6, addQuietZones: true, options });
  assert.equal(error, "");
  return { name: "label.png", mimeType: "image/png", buffer: Buffer.from(await image.arrayBuffer()) };
}

const ENVELOPE = "[)>\x1e06\x1d17V0CVA5\x1d1TLOT24A7\x1dS00042\x1d30P12043-003\x1d16D20240315\x1e\x04";
const LABELS = [
  { name: "an ISO/IEC 15434 envelope as Data Matrix", text: ENVELOPE, format: "DataMatrix", lot: "LOT24A7", serial: "00042", maker: "0CVA5" },
  { name: "the same as a square code", text: ENVELOPE, format: "QRCode", lot: "LOT24A7", serial: "00042", maker: "0CVA5" },
  {
    name: "GS1 elements as Data Matrix",
    text: "(01)00614141123452(11)240315(10)LOT7A(21)SN00042",
    format: "DataMatrix",
    options: "gs1",
    lot: "LOT7A",
    serial: "SN00042",
    maker: "",
  },
];

async function photograph(page, label) {
  await page.locator(".lot-label input[type=file]").setInputFiles(await photographOf(label.text, label.format, label.options));
}

async function photographed(label) {
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(demo.report);
  await photograph(unit.page, label);
  return unit;
}

for (const label of LABELS) {
  test(`${label.name} fills lot, serial and maker`, async () => {
    const unit = await photographed(label);
    const { page } = unit;
    await page.getByRole("status").getByText("The label says").waitFor();
    for (const field of ["lot_text", "serial", "maker"]) {
      assert.equal(await page.locator(`#${field}`).inputValue(), label[field === "lot_text" ? "lot" : field], field);
    }
    await unit.sound();
    await page.getByLabel("What happened?").fill(`label ${label.format}`);
    await page.getByRole("radio", { name: "Nobody", exact: true }).check();
    await page.getByRole("radio", { name: "load pack" }).check();
    await unit.submit(page.getByRole("button", { name: "Send the report" }));
    assert.match(page.url(), /\/follow\//);
    await unit.close();
  });
}

// It names a trade item and a serial number, and no lot.
const WITHOUT_LOT = { text: "(01)00614141123452(21)SN00077", format: "DataMatrix", options: "gs1" };
const chosen = (page) => page.locator("[name=lot_known]:checked").count();

test("a label that names no lot answers nothing of the lot, and its report is taken", async () => {
  const unit = await photographed(WITHOUT_LOT);
  const { page } = unit;
  await page.getByRole("status").getByText("The label says").waitFor();
  assert.deepEqual([await chosen(page), await page.locator("#serial").inputValue()], [0, "SN00077"]);
  await page.getByLabel("What happened?").fill("label without a lot");
  await page.getByRole("radio", { name: "Nobody", exact: true }).check();
  await page.getByRole("radio", { name: "load pack" }).check();
  await unit.submit(page.getByRole("button", { name: "Send the report" }));
  assert.match(page.url(), /\/follow\//);
  await unit.close();
});

test("a second label takes the place of the first, and what was typed stays", async () => {
  const unit = await photographed(LABELS[0]);
  const { page } = unit;
  await page.getByRole("status").getByText("The label says").waitFor();
  assert.equal(await chosen(page), 1);
  await page.locator("#maker").evaluate((field) => (field.value = "Oreval"));
  await photograph(page, WITHOUT_LOT);
  await page.getByRole("status").getByText("The label says: serial SN00077").waitFor();
  const fields = [];
  for (const field of ["lot_text", "serial", "maker"]) fields.push(await page.locator(`#${field}`).inputValue());
  assert.deepEqual([fields, await chosen(page)], [["", "SN00077", "Oreval"], 0]);
  await unit.close();
});

test("the label's text goes where its lot is emptied by hand, and stays where the lot is answered otherwise", async () => {
  const unit = await photographed(LABELS[0]);
  const { page } = unit;
  await page.getByRole("status").getByText("The label says").waitFor();
  const mark = page.locator("input[name=mark]");
  const read = await mark.inputValue();
  assert.notEqual(read, "");
  await page.getByRole("radio", { name: "It can't be read" }).check();
  assert.equal(await mark.inputValue(), read, "the serial number and the maker stand in it too");
  await page.getByLabel("What the lot label says").fill("");
  assert.equal(await mark.inputValue(), "");
  await unit.close();
});

test("what a label tells when the next report was begun fills nothing in it", async () => {
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await unit.visit(demo.report);
  await page.evaluate(() => {
    const line = self.fetch;
    const held = new Promise((resolve) => (self.letGo = resolve));
    self.fetch = async (address, ...more) => {
      if (!String(address).includes("/label?")) return line(address, ...more);
      await held;
      const answer = await line(address, ...more);
      const told = answer.json();
      // What waits for it goes on before the next task.
      self.taken = told.then(() => new Promise((resolve) => setTimeout(resolve)));
      return { ok: answer.ok, json: () => told };
    };
  });
  await photograph(page, LABELS[0]);
  await page.getByRole("status").getByText("Read from the label").waitFor();
  await page.evaluate(() => empty());
  await page.evaluate(() => letGo());
  await page.waitForFunction(() => self.taken);
  await page.evaluate(() => taken);
  assert.deepEqual([await page.locator("#lot_text").inputValue(), await chosen(page)], ["", 0]);
  assert.equal(await page.locator(".lot-label [role=status]").innerText(), "");
  await unit.close();
});

test("without signal it is the reader that is wanting, not the picture", async () => {
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(demo.report);
  await unit.context.setOffline(true);
  await photograph(unit.page, LABELS[0]);
  await unit.page.getByRole("status").getByText("it needs signal once").waitFor();
  await unit.close();
});

test("a plain bar code is kept as the text of the label", async () => {
  const unit = await photographed({ text: "T-118", format: "Code128" });
  await unit.page.getByRole("status").getByText("plain text").waitFor();
  assert.equal(await unit.page.locator("input[name=mark]").inputValue(), "T-118");
  await unit.close();
});

test("a picture without a label says so", async () => {
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(demo.report);
  const picture = { name: "x.png", mimeType: "image/png", buffer: await unit.page.screenshot() };
  await unit.page.locator(".lot-label input[type=file]").setInputFiles(picture);
  await unit.page.getByText("Nothing could be read").waitFor();
  await unit.close();
});

// What an organisation prints for itself is read like a maker's label.
test("a printed label of a lot is read back on the form", async () => {
  await engineer.visit(`${demo.base}/lots`);
  const lot = await engineer.page.locator("main table a.code, main table .code a").first();
  await Promise.all([engineer.page.waitForNavigation(), lot.click()]);
  await Promise.all([engineer.page.waitForNavigation(), engineer.page.getByRole("link", { name: "Print labels for it" }).click()]);
  await engineer.sound();
  const first = engineer.page.locator(".labels li").first();
  const lotNo = (await first.locator("b").innerText()).trim();
  const picture = { name: "label.png", mimeType: "image/png", buffer: await first.locator("svg").screenshot() };
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(demo.report);
  await unit.page.locator(".lot-label input[type=file]").setInputFiles(picture);
  await unit.page.getByRole("status").getByText("The label says").waitFor();
  assert.equal(await unit.page.locator("#lot_text").inputValue(), lotNo);
  await unit.close();
});

test("a sheet of several units' codes opens each unit's form", async () => {
  await engineer.visit(`${demo.base}/unit-codes`);
  const { page } = engineer;
  await page.getByLabel("Where will they hang?").fill("drying room");
  for (const box of await page.locator("#unit input").all()) await box.uncheck();
  await page.locator("#unit input").nth(0).check();
  await page.locator("#unit input").nth(1).check();
  await engineer.submit(page.getByRole("button", { name: "Make the links and show the sheet" }));
  const codes = page.locator(".codes li");
  assert.equal(await codes.count(), 2);
  for (const code of await codes.all()) {
    const unitCode = (await code.locator(".poster-unit .code").innerText()).trim();
    const [found] = await readBarcodes(await code.locator("svg").screenshot(), { formats: ["QRCode"], tryHarder: true });
    const unit = await Person.at(browser, { viewport: PHONE });
    await unit.visit(found.text);
    assert.match(await unit.page.locator("main").innerText(), new RegExp(`For ${unitCode}`));
    await unit.close();
  }
});
