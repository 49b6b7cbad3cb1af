// Takes the pictures that the README shows, from the demo: node tests/browser/screens.mjs
// They lie in tests/browser/screens/ and are taken anew when the pages in them change.

import { mkdir } from "node:fs/promises";
import { DESK, launch, Person, PHONE } from "./browser.mjs";
import { startDemo } from "./program.mjs";

const folder = new URL("screens/", import.meta.url).pathname;
await mkdir(folder, { recursive: true });
const [browser, demo] = await Promise.all([launch(), startDemo()]);
try {
  const unit = await Person.at(browser, { viewport: PHONE });
  await unit.visit(demo.report);
  await unit.page.screenshot({ path: `${folder}form.png` });

  const engineer = await Person.at(browser, { viewport: DESK });
  await engineer.signIn(demo.links.engineer);
  await engineer.visit(`${demo.base}/recurrences`);
  await engineer.page.screenshot({ path: `${folder}recurrences.png` });
  // The change that is before the board has every section filled.
  await engineer.visit(`${demo.base}/status?state=submitted`);
  await engineer.page.locator('main a[href^="/changes/20"]').first().click();
  await engineer.sound();
  await engineer.page.screenshot({ path: `${folder}change.png` });
} finally {
  await browser.close();
  await demo.stop();
}
