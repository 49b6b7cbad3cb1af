// A phone without signal: reports are written, kept through a closed tab and a power cut of the server, and arrive once each;
// and the form on a slow line and a slow phone. The network is cut by the test.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launch, Person, PHONE, violations } from "./browser.mjs";
import { startDemo } from "./program.mjs";

let browser;
let demo;
let engineer;

before(async () => {
  [browser, demo] = await Promise.all([launch(), startDemo()]);
  engineer = await Person.at(browser);
  await engineer.signIn(demo.links.engineer);
});

after(async () => {
  await engineer?.close();
  await browser?.close();
  await demo?.stop();
});

// A link of its own, so that what one test sends is not in the way of another.
async function newLink(unit, label = "boat house door") {
  await engineer.visit(`${demo.base}/units/${unit}`);
  await engineer.page.getByLabel("Where will it hang?").fill(label);
  await engineer.submit(engineer.page.getByRole("button", { name: "Make the link" }));
  return (await engineer.page.locator(".secret").innerText()).trim();
}

// The form takes what the phone keeps some moments after it is shown.
async function comesBack(page, story) {
  const field = await page.getByLabel("What happened?").elementHandle();
  await page.waitForFunction(([field, story]) => field.value === story, [field, story]);
}

async function answerThree(page, story) {
  await page.getByLabel("What happened?").fill(story);
  await page.getByRole("radio", { name: "Nobody", exact: true }).check();
  await page.getByRole("radio", { name: "load pack" }).check();
}

// A photograph that no two reports share, with enough in it that it has to be made smaller.
function photograph(page, number, side = 400) {
  return page.evaluate(
    async ([number, side]) => {
      const canvas = Object.assign(document.createElement("canvas"), { width: side, height: side });
      const ink = canvas.getContext("2d");
      const picture = ink.createImageData(side, side);
      let seed = number * 7919 + 1;
      for (let i = 0; i < picture.data.length; i++) {
        seed = (seed * 1103515245 + 12345) % 2147483648;
        picture.data[i] = i % 4 === 3 ? 255 : seed % 256;
      }
      ink.putImageData(picture, 0, 0);
      const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.95));
      return [...new Uint8Array(await blob.arrayBuffer())];
    },
    [number, side],
  ).then((bytes) => ({ name: `photo-${number}.jpg`, mimeType: "image/jpeg", buffer: Buffer.from(bytes) }));
}

test("a report written without signal is of the day it was written, not of the day it was sent", async () => {
  const form = await newLink("COVE-2", "radio room");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  const before = new Date(Date.now() - 6 * 86_400_000);
  await page.clock.setFixedTime(before);
  await unit.visit(form);
  await unit.context.setOffline(true);
  await answerThree(page, "webbing frayed, six days without signal");
  await page.getByRole("button", { name: "Send the report" }).click();
  await page.getByText("No signal, or no answer. The report is kept on this phone").waitFor();
  await page.clock.setFixedTime(new Date());
  await unit.context.setOffline(false);
  const arrived = page.locator(".outbox a[href*='/follow/']");
  await arrived.waitFor({ timeout: 60_000 });
  const code = await arrived.innerText();
  await engineer.visit(`${demo.base}/reports/${code.trim()}`);
  const month = before.toLocaleString("en-US", { month: "short" });
  const [day, year] = [before.getDate(), before.getFullYear()];
  assert.ok((await engineer.page.locator("main").innerText()).includes(`${day} ${month} ${year}`));
  await unit.close();
});

test("three reports with photographs, written without signal, arrive once each", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(form);
  await unit.page.evaluate(async () => {
    await navigator.serviceWorker.ready;
    const kept = async () => (await caches.open("report-form")).match(location.href);
    while (!(await kept())) await new Promise((resolve) => setTimeout(resolve, 50));
  });
  const photos = [];
  for (const number of [1, 2, 3]) photos.push(await photograph(unit.page, number));

  await unit.context.setOffline(true);
  await demo.cutPower();
  await unit.page.close();
  const page = await unit.context.newPage();
  await page.goto(form);
  for (const number of [1, 2, 3]) {
    await answerThree(page, `stitching let go, offline ${number}`);
    await page.locator("#photos").setInputFiles(photos[number - 1]);
    await page.getByRole("button", { name: "Send the report" }).click();
    await page.getByText("No signal, or no answer. The report is kept on this phone").waitFor();
    await page.locator(`.outbox li:nth-child(${number})`).getByText("Waiting for signal").waitFor();
  }
  // A fourth is only begun, and the tab closes over it.
  await answerThree(page, "a draft that nobody sent");
  await page.waitForTimeout(600);
  await page.close();

  await demo.again();
  await unit.context.setOffline(false);
  unit.page = await unit.context.newPage();
  await unit.page.goto(form);
  for (const number of [1, 2, 3]) await unit.page.locator(`.outbox li:nth-child(${number}) a`).waitFor();
  assert.equal(await unit.page.getByLabel("What happened?").inputValue(), "a draft that nobody sent");
  await unit.sound();

  await unit.page.goto(form.replace("/report/", "/unit/"));
  const told = await unit.page.locator(".own-reports li").allInnerTexts();
  const sent = told.filter((line) => /offline \d/.test(line));
  assert.deepEqual(sent.map((line) => line.match(/offline (\d)/)[1]).sort(), ["1", "2", "3"], told.join("\n"));
  for (const number of [1, 2, 3]) {
    await unit.page.goto(form.replace("/report/", "/unit/"));
    await unit.page.locator(".own-reports li", { hasText: `offline ${number}` }).locator("a").click();
    assert.equal(await unit.page.locator("main img").count(), 1, `report ${number} came with its photograph`);
  }
  await unit.close();
});

test("what must be mended stays in the form, with its photograph", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(form);
  await answerThree(unit.page, "tube pulled out");
  await unit.page.getByText("More, if you know it").click();
  await unit.page.getByLabel("How many alike?").fill("0");
  await unit.page.locator("#photos").setInputFiles(await photograph(unit.page, 9));
  await unit.page.getByRole("button", { name: "Send the report" }).click();
  await unit.page.locator(".problems").waitFor();
  assert.equal(await unit.page.locator("#photos").evaluate((field) => field.files.length), 1);
  await unit.sound();
  await unit.page.getByLabel("How many alike?").fill("2");
  await unit.submit(unit.page.getByRole("button", { name: "Send the report" }));
  assert.match(unit.page.url(), /\/follow\//);
  assert.equal(await unit.page.locator("main img").count(), 1);
  await unit.close();
});

test("a refused report that is opened in the form takes nothing from the one that is being written there", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  const story = () => page.getByLabel("What happened?").inputValue();
  const waiting = (of) => page.locator(".outbox li", { hasText: of }).getByRole("button", { name: "Open it in the form" });
  await unit.visit(form);
  const photo = await photograph(page, 21, 200);
  await unit.context.setOffline(true);
  await answerThree(page, "refused while nobody looked");
  await page.getByText("More, if you know it").click();
  await page.getByLabel("How many alike?").fill("0");
  await page.getByRole("button", { name: "Send the report" }).click();
  await page.getByText("No signal, or no answer. The report is kept on this phone").waitFor();
  await page.getByLabel("What happened?").fill("begun meanwhile");
  await page.getByRole("radio", { name: "Somebody was hurt" }).check();
  await page.locator("#photos").setInputFiles(photo);
  await unit.context.setOffline(false);
  await page.evaluate(() => dispatchEvent(new Event("online")));

  await waiting("refused while nobody looked").click();
  await waiting("begun meanwhile").waitFor();
  assert.equal(await story(), "refused while nobody looked");
  assert.equal(await page.getByLabel("How many alike?").inputValue(), "0");
  assert.equal(await page.getByRole("radio", { name: "Nobody", exact: true }).isChecked(), true);

  await waiting("begun meanwhile").click();
  await waiting("refused while nobody looked").waitFor();
  assert.equal(await story(), "begun meanwhile");
  assert.equal(await page.getByRole("radio", { name: "Somebody was hurt" }).isChecked(), true);
  assert.equal(await page.locator("#photos").evaluate((field) => field.files.length), 1, "with its photograph");
  await unit.close();
});

// Has the making small of photographs wait until the function given back is called.
async function holdShrinking(page) {
  await page.addInitScript(() => {
    const open = self.createImageBitmap.bind(self);
    const held = new Promise((resolve) => (self.letGo = resolve));
    self.createImageBitmap = (file) => held.then(() => open(file));
  });
  return () => page.evaluate(() => self.letGo());
}

// Has the phone's storage open only once the function given back is called.
async function holdStorage(page) {
  await page.addInitScript(() => {
    const open = indexedDB.open.bind(indexedDB);
    const held = new Promise((resolve) => (self.letGo = resolve));
    IDBFactory.prototype.open = (...which) => {
      const [real, late] = [open(...which), {}];
      real.onsuccess = () => held.then(() => late.onsuccess(Object.assign(late, { result: real.result })));
      return late;
    };
  });
  return () => page.evaluate(() => self.letGo());
}

// The sizes of photographs of the reports that have not arrived.
async function sizesOnPhone(page) {
  return page.evaluate(async () => {
    const left = (await outbox.list()).filter((report) => !report.arrived);
    return left.map((report) => report.photos.map((photo) => photo.size));
  });
}

test("Send waits for the photographs to be made smaller, with signal and without, and each report keeps its own", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  const letGo = await holdShrinking(page);
  let sent = 0;
  page.on("request", (request) => (sent += request.method() === "POST"));
  for (const signal of [true, false]) {
    await unit.visit(form);
    const large = await photograph(page, signal ? 11 : 12, 1_200);
    await unit.context.setOffline(!signal);
    await answerThree(page, `sent at once, signal ${signal}`);
    await page.locator("#photos").setInputFiles(large);
    await page.getByRole("button", { name: "Send the report" }).click();
    await page.locator(".outbox p").getByText("are being made smaller").waitFor();
    assert.deepEqual([sent, await sizesOnPhone(page)], [0, []], "nothing is queued before the photograph is small");
    if (signal) {
      await Promise.all([page.waitForURL(/\/follow\//), letGo()]);
      assert.equal(await page.locator("main img").count(), 1);
      sent = 0;
      continue;
    }
    await letGo();
    await page.getByText("No signal, or no answer. The report is kept on this phone").waitFor();
    const sizes = (await sizesOnPhone(page)).flat();
    assert.ok(sizes.length === 1 && sizes[0] <= 300_000, `kept in ${sizes} bytes, of ${large.buffer.length}`);
    assert.equal(await page.locator("#photos").evaluate((field) => field.files.length), 0, "the next report has no photograph");
  }
  await unit.close();
});

test("a report loaded anew and sent before the phone has told what it keeps goes with its photograph", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await unit.visit(form);
  await answerThree(page, "loaded anew on a slow phone");
  await page.locator("#photos").setInputFiles(await photograph(page, 31, 200));
  await page.waitForFunction(async () => (await outbox.get("drafts", location.pathname))?.photos.length === 1);
  let sent = 0;
  page.on("request", (request) => (sent += request.method() === "POST"));
  const letGo = await holdStorage(page);
  await page.reload();
  await answerThree(page, "loaded anew on a slow phone");
  await page.getByRole("button", { name: "Send the report" }).click();
  await page.waitForTimeout(500);
  assert.deepEqual([page.url(), sent], [form, 0], "nothing is sent before that");
  const [top, screen] = await page.locator(".outbox p").evaluate((told) => [told.getBoundingClientRect().top, innerHeight]);
  assert.ok(top >= 0 && top < screen, `what is being done is in sight: ${top} of ${screen}`);
  await Promise.all([page.waitForURL(/\/follow\//), letGo()]);
  assert.equal(await page.locator("main img").count(), 1);
  await unit.close();
});

test("what is written before the phone tells what it keeps is sent as it stands, and the draft waits", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await unit.visit(form);
  await page.getByLabel("What happened?").fill("the draft of yesterday");
  await page.locator("#photos").setInputFiles(await photograph(page, 33, 200));
  await page.waitForFunction(async () => (await outbox.get("drafts", location.pathname))?.photos.length === 1);
  const letGo = await holdStorage(page);
  // Led away and here again: a form that is loaded anew would be filled in by the browser.
  await page.goto("about:blank");
  await page.goto(form);
  await page.getByLabel("What happened?").fill("another thing, of today");
  await page.getByRole("radio", { name: "Somebody was hurt" }).check();
  await page.getByRole("radio", { name: "load pack" }).check();
  await page.getByRole("button", { name: "Send the report" }).click();
  await Promise.all([page.waitForURL(/\/follow\//), letGo()]);
  assert.equal(await page.locator("main img").count(), 0, "the draft's photograph is not of this report");
  const code = (await page.locator("code").first().innerText()).trim();
  await engineer.visit(`${demo.base}/reports/${code}`);
  assert.match(await engineer.page.locator("main").innerText(), /another thing, of today/);

  const seen = await unit.context.newPage();
  await seen.goto(form);
  await seen.locator(".outbox li", { hasText: "the draft of yesterday" }).getByRole("button", { name: "Open it in the form" }).click();
  await comesBack(seen, "the draft of yesterday");
  assert.equal(await seen.locator("#photos").evaluate((field) => field.files.length), 1, "with its photograph");
  await unit.close();
});

test("a report on a phone whose storage hangs is sent by the plain form", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await holdStorage(page);
  await unit.visit(form);
  await answerThree(page, "the phone's storage hangs");
  await page.locator("#photos").setInputFiles(await photograph(page, 32, 200));
  await unit.submit(page.getByRole("button", { name: "Send the report" }));
  assert.match(page.url(), /\/follow\//);
  assert.equal(await page.locator("main img").count(), 1);
  await unit.close();
});

test("photographs that were chosen anew are not replaced by those before them", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  const letGo = await holdShrinking(page);
  await unit.visit(form);
  const field = page.locator("#photos");
  const small = await photograph(page, 13, 200);
  await field.setInputFiles(await photograph(page, 14, 1_200));
  await field.setInputFiles(small);
  await letGo();
  await page.waitForTimeout(1_000);
  assert.deepEqual(await field.evaluate((one) => [...one.files].map((file) => file.size)), [small.buffer.length]);
  await unit.close();
});

// One that says why, one that is not the program's own, and one that passes by itself.
for (const [status, body, says] of [
  [413, "<main><h1>Too large</h1><p class=\"lead\">This is larger than can be taken.</p></main>", "This is larger than can be taken."],
  [400, "Bad Request", "Something in it must be mended"],
  [429, "<main><p class=\"lead\">Please wait 1 min.</p></main>", "Please wait 1 min."],
]) {
  test(`a report refused with ${status} and no form stays in the form and on the phone`, async () => {
    const form = await newLink("COVE-2");
    const unit = await Person.at(browser, { viewport: PHONE });
    const { page } = unit;
    // Before the page is there: one that is open already may go round a road that is laid just now.
    let refuses = true;
    await page.route(form, (route) => {
      if (refuses && route.request().method() === "POST") return route.fulfill({ status, body, contentType: "text/html" });
      return route.continue();
    });
    await unit.visit(form);
    await answerThree(page, `refused with ${status}`);
    await page.locator("#photos").setInputFiles(await photograph(page, status, 200));
    await page.getByRole("button", { name: "Send the report" }).click();
    await page.locator(".problems").getByText(says).waitFor();
    await unit.sound();
    assert.doesNotMatch(await page.locator(".problems").innerText(), /chosen again/);
    assert.equal(await page.getByLabel("What happened?").inputValue(), `refused with ${status}`);
    assert.equal(await page.locator("#photos").evaluate((field) => field.files.length), 1);
    assert.equal((await sizesOnPhone(page)).flat().length, 1, "it is kept with its photograph");
    assert.equal(await page.locator(".outbox").isVisible(), false, "and stands in one place");

    refuses = false;
    await unit.visit(form);
    await comesBack(page, `refused with ${status}`);
    await unit.submit(page.getByRole("button", { name: "Send the report" }));
    assert.equal(await page.locator("main img").count(), 1);
    await unit.close();
  });
}

test("a story that is too long is told before it is sent, and lost neither here nor by the server's refusal", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await unit.visit(form);
  await answerThree(page, "x".repeat(3_900));
  await page.getByText("Letters left: 100.").waitFor();
  await page.getByLabel("What happened?").fill("x".repeat(150_000));
  await page.locator(".hint").getByText("4,000 letters at most. The rest").waitFor();
  await page.getByRole("button", { name: "Send the report" }).click();
  assert.match(await page.getByLabel("What happened?").evaluate((field) => field.validationMessage), /too long/);

  await page.locator(".report-form").evaluate((one) => (one.noValidate = true));
  await page.getByRole("button", { name: "Send the report" }).click();
  await page.locator(".problems").getByText("One answer was far too long").waitFor();
  assert.equal((await page.getByLabel("What happened?").inputValue()).length, 150_000);
  await unit.sound();
  await unit.close();
});

test("a report whose receipt can't be shown yet has arrived and is not sent again", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await unit.visit(form);
  const wire = await unit.context.newCDPSession(page);
  await wire.send("Fetch.enable", { patterns: [{ urlPattern: "*/follow/*" }] });
  const notYet = { responseCode: 503, body: Buffer.from("Please wait.").toString("base64") };
  wire.on("Fetch.requestPaused", ({ requestId }) => wire.send("Fetch.fulfillRequest", { requestId, ...notYet }));
  await answerThree(page, "the books were still being read");
  await page.getByRole("button", { name: "Send the report" }).click();
  await page.waitForURL(/\/follow\//);
  await wire.send("Fetch.disable");
  await page.goto(form);
  await page.locator(".outbox li").getByText("Arrived. Receipt").waitFor();
  assert.equal(await page.locator(".outbox li a").innerText(), "Open the receipt");
  assert.deepEqual(await sizesOnPhone(page), [], "nothing waits");
  await unit.close();
});

test("a report by a link that was withdrawn is kept, and says what to do", async () => {
  const form = await newLink("COVE-2", "slipway gate");
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(form);
  await answerThree(unit.page, "buckle let go");
  await engineer.visit(`${demo.base}/units/COVE-2`);
  await engineer.submit(engineer.page.getByRole("link", { name: "Revoke the link at slipway gate" }));
  await engineer.submit(engineer.page.getByRole("button", { name: "Revoke the link" }));
  await unit.page.getByRole("button", { name: "Send the report" }).click();
  await unit.page.locator(".outbox p").getByText("This link was withdrawn").waitFor();
  await unit.page.locator(".outbox li").getByRole("button", { name: "Open it in the form" }).waitFor();
  await unit.sound();
  await unit.close();
});

// The worker of a form that was opened, once it serves.
async function workerOf(unit) {
  await unit.page.evaluate(() => navigator.serviceWorker.ready);
  return unit.context.serviceWorkers()[0] ?? unit.context.waitForEvent("serviceworker");
}

const send = (page) => page.getByRole("button", { name: "Send the report" }).click();

test("where no browser sends once the page is closed, the form says to keep it open, and the reader is led there", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await page.addInitScript(() => {
    delete self.SyncManager;
    delete ServiceWorkerRegistration.prototype.sync;
  });
  await unit.visit(form);
  await unit.context.setOffline(true);
  await answerThree(page, "kept while the page is open");
  await send(page);
  await page.locator(".outbox p").getByText("Keep this page open until it has been sent").waitFor();
  await page.locator(".outbox li").getByText("sent while this page is open").waitFor();
  assert.equal(await page.evaluate(() => document.activeElement.matches("[aria-live] > .outbox")), true);
  assert.deepEqual(await violations(page), []);
  await unit.close();
});

test("the worker fails while a report is left, so that the browser wakes it again", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(form);
  const worker = await workerOf(unit);
  await answerThree(unit.page, "the tab was closed while it was sent");
  // As a page leaves it that is closed half way: the report waits, and its draft is still there.
  await unit.page.evaluate(async () => {
    await outbox.put("reports", written());
    await keepDraft();
  });
  await unit.page.close();
  const woken = (line) =>
    worker.evaluate((line) => {
      self.line ??= self.fetch;
      self.fetch = line ? self.line : () => Promise.reject(new TypeError("no line"));
      return sendOrFail().then(() => "all sent", ({ message }) => message);
    }, line);
  assert.equal(await woken(false), "reports still wait");
  assert.equal(await woken(true), "all sent");

  unit.page = await unit.context.newPage();
  await unit.page.goto(form);
  await unit.page.locator(".outbox li").getByText("Arrived. Receipt").waitFor();
  assert.equal(await unit.page.getByLabel("What happened?").inputValue(), "", "what was sent is no draft");
  await unit.close();
});

test("a report that is too slow for the line holds up no other, and a line that is down is not tried again and again", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await unit.visit(form);
  await answerThree(page, "small and fast");
  const tried = await page.evaluate(async () => {
    const small = written();
    const photos = Array.from({ length: 6 }, () => new File([new Uint8Array(300_000)], "photo.jpg"));
    const slow = { ...small, key: outbox.newKey(), says: "large and slow", photos, written: small.written - 1 };
    await outbox.put("reports", small);
    await outbox.put("reports", slow);
    const patience = [];
    const [timeout, line] = [AbortSignal.timeout, self.fetch];
    AbortSignal.timeout = (ms) => {
      patience.push(ms);
      return patience.length > 1 ? timeout.call(AbortSignal, ms) : AbortSignal.abort(new DOMException("late", "TimeoutError"));
    };
    await outbox.sendAll();
    const arrived = (await outbox.get("reports", small.key)).arrived !== undefined;
    let calls = 0;
    self.fetch = () => Promise.reject(new TypeError(`no line ${++calls}`));
    await outbox.put("reports", { ...small, key: outbox.newKey() });
    await outbox.sendAll();
    [AbortSignal.timeout, self.fetch] = [timeout, line];
    return { patience: patience.slice(0, 2), arrived, calls };
  });
  // 1.8 MB at 100 kbit/s take 144 s.
  assert.ok(tried.patience[0] > 2 * 144_000 && tried.patience[1] < 144_000, `${tried.patience}`);
  assert.deepEqual([tried.arrived, tried.calls], [true, 1]);
  await unit.close();
});

test("a browser that takes no worker still sends from the open page", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await page.addInitScript(() => {
    ServiceWorkerContainer.prototype.register = () => Promise.reject(new Error("not here"));
  });
  await unit.visit(form);
  await unit.context.setOffline(true);
  await answerThree(page, "no worker");
  await send(page);
  await page.locator(".outbox p").getByText("Keep this page open").waitFor();
  await unit.context.setOffline(false);
  await page.evaluate(() => dispatchEvent(new Event("online")));
  await page.locator(".outbox li").getByText("Arrived. Receipt").waitFor();
  await unit.close();
});

test("where one of the form's scripts doesn't arrive, the plain form sends the report with its photograph", async () => {
  for (const script of ["outbox", "photographs"]) {
    const form = await newLink("COVE-2");
    const unit = await Person.at(browser, { viewport: PHONE });
    const { page } = unit;
    await page.route(new RegExp(`/js/${script}`), (route) => route.abort());
    await page.goto(form);
    await answerThree(page, `without ${script}`);
    await page.locator("#photos").setInputFiles(await photograph(page, 31));
    await Promise.all([page.waitForURL(/\/follow\//), send(page)]);
    assert.equal(await page.locator("main img").count(), 1, script);
    await unit.close();
  }
});

test("a report that a full phone sends by the plain form is one, though its draft stands in the next form", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await unit.visit(form);
  await answerThree(page, "the phone was full");
  await page.evaluate(async () => {
    await keepDraft();
    const put = outbox.put;
    outbox.put = (store, value) => (store === "reports" ? Promise.reject(new DOMException("full", "QuotaExceededError")) : put(store, value));
  });
  await Promise.all([page.waitForURL(/\/follow\//), send(page)]);
  const receipt = page.url();
  await page.goto(form);
  // The script has looked for a draft once it counts letters.
  await page.locator("#story + p.hint").waitFor({ state: "attached" });
  assert.equal(await page.getByLabel("What happened?").inputValue(), "the phone was full");
  await Promise.all([page.waitForURL(/\/follow\//), send(page)]);
  assert.equal(page.url(), receipt);
  await unit.close();
});

test("another report under a key that was used stays in the form, gets a key of its own and arrives", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  const key = page.locator("[name=client_key]");
  await unit.visit(form);
  await answerThree(page, "first under its key");
  const used = await key.evaluate((field) => field.value);
  await unit.submit(page.getByRole("button", { name: "Send the report" }));
  const first = page.url();
  await unit.visit(form);
  await answerThree(page, "second under the same key");
  await key.evaluate((field, used) => (field.value = used), used);
  await send(page);
  await page.locator(".problems").getByText("has brought another report before").waitFor();
  await unit.sound();
  assert.equal(await page.getByLabel("What happened?").inputValue(), "second under the same key");
  assert.notEqual(await key.evaluate((field) => field.value), used);
  await unit.submit(page.getByRole("button", { name: "Send the report" }));
  assert.match(page.url(), /\/follow\//);
  assert.notEqual(page.url(), first);
  await unit.close();
});

test("the kept form is shown while the server fails, and a full phone shows the newest", async () => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  await unit.visit(form);
  const worker = await workerOf(unit);
  await page.reload();
  await worker.evaluate(async (form) => {
    const kept = await caches.open("report-form");
    while (!(await kept.match(form))) await new Promise((resolve) => setTimeout(resolve, 50));
    self.line = self.fetch;
    self.fetch = async () => new Response("later", { status: 503 });
  }, form);
  await page.goto(form);
  await page.getByLabel("What happened?").waitFor();

  await worker.evaluate(async () => {
    self.fetch = self.line;
    await caches.delete("report-form");
    Cache.prototype.put = () => Promise.reject(new DOMException("full", "QuotaExceededError"));
  });
  await page.goto(form);
  await page.getByLabel("What happened?").waitFor();
  await unit.close();
});

test("on a slow line and a slow phone the form is usable soon and a report with a photograph arrives", async (t) => {
  const form = await newLink("COVE-2");
  const unit = await Person.at(browser, { viewport: PHONE });
  const { page } = unit;
  const wire = await unit.context.newCDPSession(page);
  await wire.send("Network.enable");
  await wire.send("Network.emulateNetworkConditions", { offline: false, latency: 300, downloadThroughput: 12_500, uploadThroughput: 12_500 });
  await wire.send("Emulation.setCPUThrottlingRate", { rate: 6 });
  const sizes = [];
  const kinds = new Map();
  wire.on("Network.responseReceived", ({ requestId, type }) => kinds.set(requestId, type));
  wire.on("Network.loadingFinished", ({ requestId, encodedDataLength }) => sizes.push([kinds.get(requestId), encodedDataLength]));
  const began = performance.now();
  await page.goto(form, { waitUntil: "domcontentloaded" });
  await page.getByLabel("What happened?").fill("x");
  const usable = performance.now() - began;
  const needed = sizes.filter(([kind]) => kind === "Document" || kind === "Stylesheet").reduce((sum, [, size]) => sum + size, 0);
  await page.waitForLoadState("networkidle");
  const whole = sizes.reduce((sum, [, size]) => sum + size, 0);
  assert.ok(needed <= 45_000, `the form and its style take ${needed} bytes`);
  assert.ok(whole <= 150_000, `the whole page takes ${whole} bytes`);

  await answerThree(page, "slow line");
  await page.locator("#photos").setInputFiles(await photograph(page, 5, 2_000));
  const small = page.locator("#photos");
  const size = () => small.evaluate((field) => field.files[0].size);
  while ((await size()) > 400_000) await page.waitForTimeout(100);
  const sending = performance.now();
  await Promise.all([page.waitForURL(/\/follow\//, { timeout: 120_000 }), page.getByRole("button", { name: "Send the report" }).click()]);
  const acknowledged = performance.now() - sending;
  t.diagnostic(`usable after ${Math.round(usable)} ms with ${needed} bytes, ${whole} bytes in all; a report with a photograph acknowledged after ${Math.round(acknowledged)} ms`);
  await unit.close();
});
