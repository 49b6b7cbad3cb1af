// Books that a test makes up and brings in by the page for it.

export function csv(name, head, rows) {
  return { name: `${name}.csv`, mimeType: "text/csv", buffer: Buffer.from([head, ...rows].join("\n")) };
}

// The day so many days after another.
export function day(start, days) {
  return new Date(Date.parse(start) + days * 86_400_000).toISOString().slice(0, 10);
}

export async function bringIn(engineer, base, files) {
  const { page } = engineer;
  await engineer.visit(`${base}/packs`);
  await page.getByLabel("Bring books in").setInputFiles(files);
  await engineer.submit(page.getByRole("button", { name: "Send and check" }));
  await page.getByRole("button", { name: "Take it all in" }).click();
  await page.locator(".done").waitFor();
}
