// Drives Chromium: pages in the sizes and grounds that are looked at, each audited for accessibility when opened.

import assert from "node:assert/strict";
import { existsSync } from "node:fs";
import { createRequire } from "node:module";
import { readFile } from "node:fs/promises";
import { chromium } from "playwright-core";

const axeSource = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

export const PHONE = { width: 390, height: 844 };
export const DESK = { width: 1440, height: 900 };

// Chromium as a test wants it: no sandbox, since tests also run as root, and no talk with anybody but the program.
export function launch() {
  const path = ["/usr/bin/chromium", "/usr/bin/chromium-browser"].find(existsSync);
  if (!path) throw new Error("there is no Chromium here: tests/run installs it");
  return chromium.launch({
    executablePath: path,
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
}

// A person at a screen: own cookies, own size and ground. `script: false` turns scripts off.
export class Person {
  static async at(browser, { viewport = DESK, ground = "light", script = true, locale = "en-GB" } = {}) {
    const context = await browser.newContext({ viewport, colorScheme: ground, javaScriptEnabled: script, locale });
    return new Person(context, await context.newPage(), script);
  }

  constructor(context, page, script) {
    this.context = context;
    this.page = page;
    this.script = script;
    this.complaints = [];
    page.on("pageerror", (error) => this.complaints.push(`script error: ${error.message}`));
    page.on("console", (message) => {
      // A refused policy and a missing file show up here; a 4xx page that a test asks for does too, and says so.
      if (message.type() === "error" && !/status of 4\d\d/.test(message.text())) this.complaints.push(message.text());
    });
  }

  // Opens a page and holds it to what every page must hold to.
  async visit(address) {
    const response = await this.page.goto(address);
    await this.sound();
    return response;
  }

  // Follows a one-time link and confirms it if the page asks for that.
  async signIn(link) {
    await this.page.goto(link);
    if (this.page.url().includes("/sign-in/")) {
      await this.sound();
      await this.page.locator("main form button").first().click();
      await this.page.waitForURL((url) => !url.pathname.startsWith("/sign-in/"));
    }
    await this.sound();
  }

  // Presses what submits a form, waits for the page that answers, and holds that to the same.
  async submit(locator) {
    await Promise.all([this.page.waitForNavigation(), locator.click()]);
    await this.sound();
  }

  // No accessibility violation, nothing wider than the screen, no complaint in the console.
  async sound() {
    const where = this.page.url();
    assert.deepEqual(this.complaints, [], `${where}: the console stays quiet`);
    if (!this.script) return;
    assert.deepEqual(await violations(this.page), [], `${where}: accessibility`);
    const overflow = await this.page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
    assert.ok(overflow <= 0, `${where}: ${overflow} px wider than the screen`);
  }

  async close() {
    await this.context.close();
  }
}

// What the automatic auditor finds against WCAG 2.2 A and AA, one line a rule with the elements it names.
export async function violations(page) {
  await page.evaluate(axeSource);
  const found = await page.evaluate(async () => {
    const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
    const result = await window.axe.run(document, { runOnly: { type: "tag", values: tags } });
    return result.violations.map((v) => ({ id: v.id, help: v.help, nodes: v.nodes.map((n) => n.target.join(" ")) }));
  });
  return found.map((v) => `${v.id} (${v.help}): ${v.nodes.join(", ")}`);
}
