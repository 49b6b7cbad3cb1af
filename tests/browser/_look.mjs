import { DESK, launch, Person, PHONE } from "./browser.mjs";
import { startDemo } from "./program.mjs";
const [browser, demo] = await Promise.all([launch(), startDemo()]);
const shot = async (page, name) => {
  for (const [width, viewport] of Object.entries({ 390: PHONE, 1440: DESK })) for (const ground of ["light", "dark"]) {
    await page.setViewportSize(viewport); await page.emulateMedia({ colorScheme: ground });
    await page.screenshot({ path: `/tmp/shots/x-${name}-${width}-${ground}.png`, fullPage: true });
  }
};
const go = async (page, link) => { await page.goto(link); if (page.url().includes("/sign-in/")) await Promise.all([page.waitForNavigation(), page.locator("main form button").first().click()]); };
try {
  const e = await Person.at(browser); await go(e.page, demo.links.engineer);
  await e.page.goto(demo.base + "/lots"); 
  const lot = await e.page.locator("main table a").first().getAttribute("href");
  await e.page.goto(demo.base + lot); await e.page.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true))); 
  const pub = await e.page.locator("main a[href*='/publish']").first().getAttribute("href");
  await e.page.goto(demo.base + pub); await shot(e.page, "publish-lot");
  await e.page.goto(demo.base + "/changes"); const ch = await e.page.locator("main table a[href^='/changes/']").first().getAttribute("href");
  await e.page.goto(demo.base + ch); await e.page.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true))); await shot(e.page, "change");
  await e.page.goto(demo.base + "/instructions"); await shot(e.page, "instructions");
  const ins = await e.page.locator("main a[href^='/instructions/I-']").first().getAttribute("href");
  await e.page.goto(demo.base + ins + "/replies"); await shot(e.page, "replies");
  const a = await Person.at(browser); await go(a.page, demo.links.administrator);
  await a.page.goto(demo.base + "/api"); console.log(await a.page.locator("main").innerText());
  const u = await Person.at(browser, { viewport: PHONE }); await u.page.goto(demo.report);
  await shot(u.page, "form");
  await u.page.evaluate(async () => { await navigator.serviceWorker.ready; });
  await u.context.setOffline(true);
  await u.page.getByLabel("What happened?").fill("seam let go on the ladder");
  await u.page.getByRole("radio", { name: "Nobody", exact: true }).check();
  await u.page.getByRole("radio", { name: "load pack" }).check();
  await u.page.getByRole("button", { name: "Send the report" }).click();
  await u.page.waitForTimeout(1500); await shot(u.page, "kept");
  await u.context.setOffline(false);
  await u.page.goto(demo.report.replace("/report/", "/unit/")); await shot(u.page, "unit");
  const n = await Person.at(browser);
  await n.page.setContent(`<form method="post" action="${demo.base}/changes/new"><button>go</button></form>`);
  await n.page.goto(demo.base + "/sign-in"); await n.page.evaluate((b) => { const f = document.createElement("form"); f.method = "post"; f.action = b + "/changes/new"; document.body.append(f); f.submit(); }, demo.base); await n.page.waitForTimeout(800); await shot(n.page, "signedout");
} catch (error) { console.log(error); } finally { await browser.close(); await demo.stop(); }
