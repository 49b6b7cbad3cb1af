// Books that a test makes up and brings in by the page for it.

const LONGEST_READING_MS = 60_000;

export function csv(name, head, rows) {
  return { name: `${name}.csv`, mimeType: "text/csv", buffer: Buffer.from([head, ...rows].join("\n")) };
}

// The day so many days after another.
export function day(start, days) {
  return new Date(Date.parse(start) + days * 86_400_000).toISOString().slice(0, 10);
}

// Brings them in and waits until the figures know them: an address that is only there then is seen.
export async function bringIn(engineer, base, files, seen) {
  const { page } = engineer;
  await engineer.visit(`${base}/packs`);
  await page.getByLabel("Bring books in").setInputFiles(files);
  await engineer.submit(page.getByRole("button", { name: "Send and check" }));
  await page.getByRole("button", { name: "Take it all in" }).click();
  await page.locator(".done").waitFor();
  const end = Date.now() + LONGEST_READING_MS;
  while (!(await page.request.get(base + seen)).ok()) {
    if (Date.now() > end) throw new Error(`${seen} is not there ${LONGEST_READING_MS / 1000} s after the books came in`);
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
}
