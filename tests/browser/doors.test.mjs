// The way in, in a real browser: the sign-in page and the demo's link for each role, on a phone and at a desk.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { DESK, launch, Person, PHONE, violations } from "./browser.mjs";
import { ROLES, startDemo } from "./program.mjs";

let browser;
let demo;

before(async () => {
  [browser, demo] = await Promise.all([launch(), startDemo()]);
});

after(async () => {
  await browser?.close();
  await demo?.stop();
});

for (const [name, viewport] of Object.entries({ phone: PHONE, desk: DESK })) {
  for (const ground of ["light", "dark"]) {
    test(`the sign-in page is sound on a ${name} on ${ground} ground`, async () => {
      const person = await Person.at(browser, { viewport, ground });
      const response = await person.visit(`${demo.base}/sign-in`);
      assert.equal(response.status(), 200);
      assert.equal(await person.page.getByRole("textbox").first().isVisible(), true);
      await person.close();
    });
  }
}

test("the sign-in page works without script", async () => {
  const person = await Person.at(browser, { script: false });
  await person.visit(`${demo.base}/sign-in`);
  assert.equal(await person.page.getByRole("button").first().isEnabled(), true);
  await person.close();
});

for (const role of Object.keys(ROLES)) {
  test(`the demo's link lets the ${role} in`, async () => {
    const person = await Person.at(browser);
    await person.signIn(demo.links[role]);
    assert.equal(new URL(person.page.url()).pathname.startsWith("/sign-in"), false);
    await person.close();
  });
}

test("the auditor finds what is wrong with a page", async () => {
  const person = await Person.at(browser);
  await person.page.setContent("<html><body><img src='data:,'><input></body></html>");
  assert.ok((await violations(person.page)).some((line) => line.startsWith("image-alt")));
  await person.close();
});
