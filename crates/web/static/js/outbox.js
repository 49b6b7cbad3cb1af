// Reports on this phone: the draft being written, those waiting for signal, those that arrived. Shared by the page and its
// worker. Each report carries its own key, so that sending it twice, from two pages or after a cut line, makes one report.
self.outbox = (() => {
  const KEPT_DAYS = 30;
  // For the line to come up and the server to answer, and then for each byte at 40 kbit/s: six photographs get eight minutes of
  // the ten that the server gives a request.
  const PATIENCE_MS = 120_000;
  const BYTES_A_MS = 5;
  // Refusals that pass by themselves: too slow, too many in a short time.
  const PASSING = [408, 429];

  // Stores: `drafts` by the form's address, `reports` by their key.
  const opened = new Promise((resolve, reject) => {
    const request = indexedDB.open("bartack", 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("drafts", { keyPath: "form" });
      request.result.createObjectStore("reports", { keyPath: "key" });
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  opened.catch(() => {});

  // One action on one store; done when it is on the disk, not when it was asked for.
  async function on(store, mode, action) {
    const transaction = (await opened).transaction(store, mode, { durability: "strict" });
    const request = action(transaction.objectStore(store));
    return new Promise((resolve, reject) => {
      transaction.oncomplete = () => resolve(request.result);
      transaction.onabort = transaction.onerror = () => reject(transaction.error ?? request.error);
    });
  }

  const put = (store, value) => on(store, "readwrite", (s) => s.put(value));
  const drop = (store, key) => on(store, "readwrite", (s) => s.delete(key));
  const get = (store, key) => on(store, "readonly", (s) => s.get(key));

  function newKey() {
    return [...crypto.getRandomValues(new Uint8Array(32))].map((b) => b.toString(16).padStart(2, "0")).join("");
  }

  async function list() {
    const reports = await on("reports", "readonly", (s) => s.getAll());
    const old = Date.now() - KEPT_DAYS * 86_400_000;
    await Promise.all(reports.filter((r) => r.arrived && r.arrived < old).map((r) => drop("reports", r.key)));
    return reports.filter((r) => !(r.arrived < old)).sort((a, b) => a.written - b.written);
  }

  // What is sent by itself.
  async function waiting() {
    return (await list()).filter((report) => !report.arrived && !report.refused && !report.shut);
  }

  const patience = ({ photos }) => PATIENCE_MS + Math.ceil(photos.reduce((sum, photo) => sum + photo.size, 0) / BYTES_A_MS);

  // The phone's own day.
  const day = (time) => new Date(Date.UTC(time.getFullYear(), time.getMonth(), time.getDate())).toISOString().slice(0, 10);

  // What was answered; a day left for today is the day of writing. On that day the server knows it better than a phone whose
  // clock is wrong.
  function dated({ fields, written }) {
    const on = day(new Date(written));
    const isPast = on !== day(new Date());
    return fields.map(([name, value]) => [name, isPast && name === "found_on" && !value ? on : value]);
  }

  function body(report) {
    const data = new FormData();
    for (const [name, value] of dated(report)) data.append(name, value);
    for (const photo of report.photos) data.append("photo", photo, "photo.jpg");
    return data;
  }

  // Sends one report. Answers the page of a refusal, and whether the line is down; one that is too slow for this report may do
  // for a smaller one.
  async function send(report) {
    const signal = AbortSignal.timeout(patience(report));
    let answer;
    try {
      answer = await fetch(report.form, { method: "POST", body: body(report), signal });
    } catch {
      return { isDown: !signal.aborted };
    }
    // A line that is cut from here on changes nothing of what the server did.
    const page = await answer.text().catch(() => "");
    const { status } = answer;
    // Led to its receipt, it is in the books, whether or not the receipt can be shown yet.
    if (answer.redirected && new URL(answer.url).pathname.startsWith("/follow/")) {
      const code = page.match(/<code>([0-9A-Z-]+)<\/code>/)?.[1];
      await put("reports", { ...report, photos: [], fields: [], arrived: Date.now(), receipt: answer.url, code });
    } else if (status === 404) {
      await put("reports", { ...report, shut: true });
    } else if (status >= 400 && status < 500) {
      if (!PASSING.includes(status)) await put("reports", { ...report, refused: status });
      return { page };
    }
    return {};
  }

  async function sendEach() {
    for (const report of await waiting()) {
      if ((await send(report)).isDown) break;
    }
  }

  // Sends what waits, one after another; two pages never at once. Where the browser has no locks (a plain http address), two
  // pages may send the same report, and its key makes it one.
  function sendAll() {
    if (!navigator.locks) return sendEach();
    return navigator.locks.request("bartack-outbox", { ifAvailable: true }, (lock) => lock && sendEach());
  }

  return { put, drop, get, list, waiting, dated, newKey, send, sendAll };
})();
