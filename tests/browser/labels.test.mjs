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

async function photographed(label) {
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(demo.report);
  await unit.page.locator(".lot-label input[type=file]").setInputFiles(await photographOf(label.text, label.format, label.options));
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
