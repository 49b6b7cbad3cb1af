// For developers: pictures of pages as each role sees them, at phone and desk width, on light and dark ground.
//
//   node tests/browser/shots.mjs FOLDER                  the standard pages
//   node tests/browser/shots.mjs FOLDER engineer /lots   these pages as one role
//
// The demo is started for it and ended after it.

import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { DESK, launch, Person, PHONE, violations } from "./browser.mjs";
import { ROLES, startDemo } from "./program.mjs";

const STANDARD = {
  nobody: ["/sign-in"],
  unit: ["/"],
  engineer: ["/", "/sorting", "/sorting/unnamed", "/on-call", "/reports/upload", "/reports/mailed", "/exhibits", "/recurrences", "/lots", "/changes", "/status", "/published", "/packs", "/catalogue", "/journal"],
  board: ["/", "/changes", "/status"],
  administrator: ["/", "/people", "/api"],
};

const [folder, role, ...pages] = process.argv.slice(2);
if (!folder || (role && !(role in STANDARD))) {
  console.error(`usage: node tests/browser/shots.mjs FOLDER [${["nobody", ...Object.keys(ROLES)].join("|")} PAGE...]`);
  process.exit(2);
}
const wanted = role ? { [role]: pages.length ? pages : STANDARD[role] } : STANDARD;

await mkdir(folder, { recursive: true });
const [browser, demo] = await Promise.all([launch(), startDemo()]);
try {
  for (const [who, list] of Object.entries(wanted)) {
    const person = await Person.at(browser);
    if (demo.links[who]) await followLink(person.page, demo.links[who]);
    for (const page of list) await picture(person.page, who, page);
    await person.close();
  }
} finally {
  await browser.close();
  await demo.stop();
}

// Unlike a test, this goes on past a page with faults: pictures are taken to look at them.
async function followLink(page, link) {
  await page.goto(link);
  if (page.url().includes("/sign-in/")) {
    await Promise.all([page.waitForNavigation(), page.locator("main form button").first().click()]);
  }
}

async function picture(page, who, path) {
  for (const [width, viewport] of Object.entries({ 390: PHONE, 1440: DESK })) {
    for (const ground of ["light", "dark"]) {
      await page.setViewportSize(viewport);
      await page.emulateMedia({ colorScheme: ground });
      const response = await page.goto(demo.base + path);
      const name = `${who}-${path.replace(/^\/$/, "desk").replaceAll(/[^a-zA-Z0-9]+/g, "-").replace(/^-/, "")}-${width}-${ground}.png`;
      await page.screenshot({ path: join(folder, name), fullPage: true });
      const faults = await violations(page);
      console.log(`${response.status()}  ${name}${faults.length ? `\n     ${faults.join("\n     ")}` : ""}`);
    }
  }
}
