// The report form without signal: keeps the draft and what waits on this phone, makes photographs small, sends when it can.
// Without script, or without storage on the phone, the plain form does the same work with signal.
const outbox = self.outbox;
// A photograph of this size takes 24 seconds at 100 kbit/s, which leaves room for the rest within a minute.
const MOST_BYTES = 300_000;
const LONGEST_SIDE = 1_600;
const TRY_AGAIN_MS = 20_000;

const box = document.querySelector("[data-outbox]");
const words = box.dataset;
const here = location.pathname;
const form = () => document.querySelector(".report-form");

function element(tag, text, attributes = {}) {
  const made = document.createElement(tag);
  made.textContent = text;
  Object.assign(made, attributes);
  return made;
}

// ---- what stands on this phone

function line(report) {
  const item = document.createElement("li");
  const day = new Date(report.written).toLocaleString(words.days, { dateStyle: "medium", timeStyle: "short" });
  item.append(element("b", `${day}: ${report.says} `));
  if (report.arrived) {
    item.append(element("span", `${words.arrived} `), element("a", report.code ?? words.receipt, { href: report.receipt }));
    return item;
  }
  item.append(element("span", report.refused ? words.refused : report.shut ? words.shut : words.waiting));
  if (report.refused || report.shut) {
    const again = element("button", words.mend, { type: "button", className: "second" });
    again.addEventListener("click", () => takeBack(report));
    item.append(" ", again);
  }
  return item;
}

async function show(says) {
  const reports = await outbox.list();
  box.hidden = !reports.length && !says;
  box.querySelector("ul").replaceChildren(...reports.map(line));
  box.querySelector("p").textContent = says ?? "";
}

// A report that the server would not take goes back into the form.
async function takeBack(report) {
  await outbox.put("drafts", { form: here, key: outbox.newKey(), fields: report.fields, photos: report.photos });
  await outbox.drop("reports", report.key);
  location.reload();
}

async function sendWaiting() {
  await outbox.sendAll();
  await show();
}

// ---- the draft

const answers = () => [...new FormData(form())].filter(([, value]) => typeof value === "string");

function photos() {
  return [...form().elements.photos.files];
}

async function keepDraft() {
  const key = form().elements.client_key.value;
  await outbox.put("drafts", { form: here, key, fields: answers(), photos: photos() }).catch(() => show(words.full));
}

function fill(draft) {
  const { elements } = form();
  elements.client_key.value = draft.key;
  for (const [name, value] of draft.fields) {
    if (name === "client_key") continue;
    const field = elements.namedItem(name);
    if (field) field.value = value;
  }
  give(draft.photos);
  const { elements: all } = form();
  const more = form().querySelector("details.more");
  if (more && [...all].some((e) => more.contains(e) && e.value && e.type !== "radio" && e.tagName !== "SELECT")) more.open = true;
}

function give(files) {
  const transfer = new DataTransfer();
  for (const file of files) transfer.items.add(file);
  form().elements.photos.files = transfer.files;
}

// ---- photographs

async function smaller(file) {
  if (file.size <= MOST_BYTES && file.type === "image/jpeg") return file;
  const picture = await createImageBitmap(file);
  let side = Math.min(LONGEST_SIDE, Math.max(picture.width, picture.height));
  for (let quality = 0.8; ; quality -= 0.15) {
    if (quality < 0.4) [side, quality] = [side * 0.75, 0.7];
    const scale = side / Math.max(picture.width, picture.height);
    const canvas = Object.assign(document.createElement("canvas"), {
      width: Math.max(1, Math.round(picture.width * scale)),
      height: Math.max(1, Math.round(picture.height * scale)),
    });
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", quality));
    if (blob.size <= MOST_BYTES) return new File([blob], "photo.jpg", { type: "image/jpeg" });
  }
}

// One that can't be opened here is left as it is: the server says what it needs.
async function makeSmall() {
  give(await Promise.all(photos().map((file) => smaller(file).catch(() => file))));
  await keepDraft();
}

// ---- sending

async function submit(event) {
  event.preventDefault();
  const key = form().elements.client_key.value;
  const says = form().elements.story.value.trim().slice(0, 60);
  const report = { key, form: form().getAttribute("action"), fields: answers(), photos: photos(), written: Date.now(), says };
  const button = form().querySelector("button:not([type])");
  button.disabled = true;
  try {
    await outbox.put("reports", report);
  } catch {
    // The phone is full: the plain form sends it now or keeps it on the screen.
    button.disabled = false;
    await show(words.full);
    if (navigator.onLine) form().submit();
    return;
  }
  await show(words.sending);
  const page = await outbox.send(report);
  const kept = await outbox.get("reports", key);
  if (kept.arrived) {
    await outbox.drop("drafts", here);
    location.assign(kept.receipt);
  } else if (page && kept.refused === 422) {
    await outbox.drop("reports", key);
    mend(page, report);
  } else {
    await outbox.drop("drafts", here);
    form().reset();
    begin({ key: outbox.newKey(), fields: [], photos: [] });
    button.disabled = false;
    await show(page ? words.refused : kept.shut ? words.shut : words.kept);
    box.scrollIntoView();
    const worker = await navigator.serviceWorker?.getRegistration(here);
    await worker?.sync?.register("outbox").catch(() => {});
  }
}

// The server's own page says what to mend; what was typed and the photographs stay.
function mend(page, report) {
  const fresh = new DOMParser().parseFromString(page, "text/html").querySelector("main");
  const main = document.querySelector("main");
  for (const part of [".problems", ".report-form"]) main.querySelector(part)?.remove();
  main.append(...fresh.querySelectorAll(".problems, .report-form"));
  begin(report);
  show();
  main.querySelector(".problems").setAttribute("tabindex", "-1");
  main.querySelector(".problems").focus();
}

function begin(draft) {
  const current = form();
  fill(draft);
  let waiting;
  current.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(keepDraft, 300);
  });
  current.elements.photos.addEventListener("change", makeSmall);
  if (!current.dataset.kept) current.addEventListener("submit", submit);
  current.dataset.kept = "yes";
}

async function start() {
  const draft = await outbox.get("drafts", here);
  begin(draft ?? { key: outbox.newKey(), fields: [], photos: [] });
  await show();
  if ("serviceWorker" in navigator) {
    const worker = await navigator.serviceWorker.register(words.worker, { scope: "/report/" });
    if (!worker.active) await (await caches.open("report-form")).add(location.href);
  }
  addEventListener("online", sendWaiting);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && sendWaiting());
  setInterval(sendWaiting, TRY_AGAIN_MS);
  await sendWaiting();
}

// A page that came back with problems already holds what was typed.
if (!document.querySelector(".problems")) start();
