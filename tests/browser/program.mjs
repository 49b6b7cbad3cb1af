// Starts the built program with its demo books on a free port and a folder of its own.

import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";

const LONGEST_START_MS = 180_000;

// What each role's line of the demo's output says.
export const ROLES = {
  unit: "store keeper",
  engineer: "equipment engineer",
  board: "board chair",
  administrator: "administrator",
};

function binary() {
  const target = process.env.CARGO_TARGET_DIR ?? new URL("../../target", import.meta.url).pathname;
  const path = join(target, "debug", "bartack");
  if (!existsSync(path)) throw new Error(`there is no ${path}: run cargo build first, or tests/run, which does`);
  return path;
}

// Gives { base, report, links, stop, cutPower, again }: the address, a unit's form, the sign-in link of each role, the way to
// end it all, and a power cut: `cutPower` kills the program at once, `again` starts it on the same books and address.
export async function startDemo() {
  const folder = await mkdtemp(join(tmpdir(), "bartack-browser-"));
  const environment = { ...process.env, BARTACK_DATA: folder, DATABASE_URL: `sqlite://${folder}/bartack.sqlite` };
  delete environment.BARTACK_PUBLIC_URL;
  let child;
  let ended;
  let log = "";
  const begin = (...words) => {
    child = spawn(binary(), words, { env: environment, stdio: ["ignore", "pipe", "pipe"] });
    ended = new Promise((resolve) => child.once("exit", resolve));
    child.stderr.on("data", (chunk) => (log += chunk));
  };
  begin("demo", "--listen", "127.0.0.1:0");
  const stop = async () => {
    child.kill("SIGTERM");
    const patience = setTimeout(() => child.kill("SIGKILL"), 10_000);
    await ended;
    clearTimeout(patience);
    await rm(folder, { recursive: true, force: true });
  };
  // The program must not outlive a test runner that is stopped half way.
  process.once("exit", () => child.kill("SIGKILL"));
  try {
    const started = await readStart(child, ended, () => log);
    const cutPower = async () => {
      child.kill("SIGKILL");
      await ended;
    };
    const again = async () => {
      begin("serve", "--listen", new URL(started.base).host);
      child.stdout.resume();
      await ready(started.base, () => log);
    };
    return { ...started, stop, cutPower, again, log: () => log };
  } catch (error) {
    await stop();
    throw error;
  }
}

// Waits until a program that was started again has read its books.
async function ready(base, log) {
  const end = Date.now() + LONGEST_START_MS;
  while (Date.now() < end) {
    const answer = await fetch(`${base}/health/ready`).catch(() => undefined);
    if (answer?.ok) return;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  throw new Error(`the program didn't come up again; its log:\n${log()}`);
}

async function readStart(child, ended, log) {
  let base;
  let report;
  const links = {};
  const reading = (async () => {
    for await (const line of createInterface({ input: child.stdout })) {
      base ??= line.match(/listening on (http:\/\/\S+)/)?.[1].replace(/\/$/, "");
      report ??= line.match(/http:\/\/\S*\/report\/\S+/)?.[0];
      const link = line.match(/http:\/\/\S*\/sign-in\/\S+/)?.[0];
      for (const [role, words] of Object.entries(ROLES)) {
        if (link && line.includes(words)) links[role] ??= link;
      }
      if (base && Object.keys(links).length === Object.keys(ROLES).length) return;
    }
  })();
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new Error(`the program didn't come up in time; its log:\n${log()}`)), LONGEST_START_MS);
  });
  const died = ended.then((code) => {
    throw new Error(`the program ended with ${code} before it was up; its log:\n${log()}`);
  });
  // Once one of them has settled the race, the others' ends concern nobody.
  died.catch(() => {});
  try {
    await Promise.race([reading, late, died]);
  } finally {
    clearTimeout(timer);
  }
  child.stdout.resume();
  return { base, report, links };
}
