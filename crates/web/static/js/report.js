// The report form without signal: keeps the draft and what waits on this phone, has photographs made small, sends when it can.
// Without script, or without storage on the phone, the plain form does the same work with signal.
const { outbox, photographs } = self;
const TRY_AGAIN_MS = 20_000;
// Storage that hasn't answered by then hangs, as it does on some phones.
const STORAGE_MS = 10_000;
// So few letters left are told.
const TELL_FROM = 500;

const box = document.querySelector("[data-outbox]");
const words = box.dataset;
const here = location.pathname;
const form = document.querySelector(".report-form");
const unmarked = form.cloneNode(true);
// The making small of the photographs that stand in the form now; one for a report that has left it is of no concern.
let shrinking;
// The draft that is kept in a moment.
let keeping;
// Whether the browser sends what waits once this page is closed.
let byItself = "SyncManager" in self;
// Told once what the phone keeps stands in the form: whether the phone keeps anything at all.
let keeps;

function element(tag, text, attributes = {}) {
  const made = document.createElement(tag);
  made.textContent = text;
  Object.assign(made, attributes);
  return made;
}

const letters = element("p", "", { className: "hint" });

// ---- what stands on this phone

function line(report) {
  const item = document.createElement("li");
  const day = new Date(report.written).toLocaleString(words.days, { dateStyle: "medium", timeStyle: "short" });
  item.append(element("b", `${day}: ${report.says} `));
  if (report.arrived) {
    item.append(element("span", `${words.arrived} `), element("a", report.code ?? words.receipt, { href: report.receipt }));
    return item;
  }
  const waits = byItself ? words.waiting : words.waitingOpen;
  item.append(element("span", report.begun ? words.begun : report.refused ? words.refused : report.shut ? words.shut : waits));
  if (report.refused || report.shut) {
    const again = element("button", words.mend, { type: "button", className: "second" });
    again.addEventListener("click", () => takeBack(report));
    item.append(" ", again);
  }
  return item;
}

function tell(says) {
  box.hidden = false;
  box.querySelector("p").textContent = says;
}

// A refused report that stands in the form is not shown a second time, and what stands there already is not told anew.
async function show(says) {
  const inForm = form.elements.client_key.value;
  const reports = (await outbox.list()).filter((report) => !report.refused || report.key !== inForm);
  box.hidden = !reports.length && !says;
  const [old, lines] = [box.querySelector("ul"), document.createElement("ul")];
  lines.append(...reports.map(line));
  if (!lines.isEqualNode(old)) old.replaceWith(lines);
  box.querySelector("p").textContent = says ?? "";
}

// Leaves what waits to the worker. Not every browser has one that is woken when signal comes back, and a person may forbid it.
async function leaveToWorker() {
  try {
    const worker = await navigator.serviceWorker.getRegistration(here);
    await worker.sync.register("outbox");
    byItself = true;
  } catch {
    byItself = false;
  }
}

// What was begun waits until it is opened in the form.
function putAside(report) {
  return outbox.put("reports", { ...report, refused: true, begun: true });
}

// A report that the server would not take goes back into the form. What was begun there waits in its place.
async function takeBack(report) {
  while (shrinking) await shrinking;
  // While a report is sent from the form, what becomes of it must not be overwritten.
  if (form.inert) return;
  hold(true);
  clearTimeout(keeping);
  try {
    if (begun()) await putAside(written());
    await outbox.put("drafts", { form: here, key: outbox.newKey(), fields: outbox.dated(report), photos: report.photos });
  } catch {
    hold(false);
    await show(words.full);
    return;
  }
  await outbox.drop("reports", report.key);
  // A browser that loads a page again fills in what stood there.
  form.reset();
  location.reload();
}

// Not while a report is sent from the form: the line is narrow, and what is said of that report must stand.
async function sendWaiting() {
  if (form.inert) return;
  await outbox.sendAll();
  if (!form.inert) await show();
}

// ---- the draft

const answers = () => [...new FormData(form)].filter(([, value]) => typeof value === "string");

function photos() {
  return [...form.elements.photos.files];
}

// Whether anything was written or chosen; what the form begins with is nothing yet.
function begun() {
  const changed = (field) => {
    if (["radio", "checkbox"].includes(field.type)) return field.checked !== field.defaultChecked;
    if (field.tagName === "SELECT") return field.selectedIndex !== Math.max(0, [...field.options].findIndex((one) => one.defaultSelected));
    return ["INPUT", "TEXTAREA"].includes(field.tagName) && field.type !== "file" && field.value !== field.defaultValue;
  };
  return photos().length > 0 || [...form.elements].some(changed);
}

const storyOf = (fields) => (fields.find(([name]) => name === "story")?.[1] ?? "").replaceAll("\r", "").trim();

function reportOf({ key, fields, photos }) {
  return { key, form: form.getAttribute("action"), fields, photos, written: Date.now(), says: storyOf(fields).slice(0, 60) };
}

// What stands in the form, as a report.
function written() {
  return reportOf({ key: form.elements.client_key.value, fields: answers(), photos: photos() });
}

async function keepDraft() {
  const key = form.elements.client_key.value;
  await outbox.put("drafts", { form: here, key, fields: answers(), photos: photos() }).catch(() => show(words.full));
}

function fill(draft) {
  const { elements } = form;
  elements.client_key.value = draft.key;
  for (const [name, value] of draft.fields) {
    if (name === "client_key") continue;
    const field = elements.namedItem(name);
    if (field) field.value = value;
  }
  give(draft.photos);
  const more = form.querySelector("details.more");
  if (more && [...elements].some((e) => more.contains(e) && e.value && e.type !== "radio" && e.tagName !== "SELECT")) more.open = true;
}

function give(files) {
  const transfer = new DataTransfer();
  for (const file of files) transfer.items.add(file);
  form.elements.photos.files = transfer.files;
}

// ---- photographs

function makeSmall() {
  const mine = photographs.madeSmall(photos()).then(async (files) => {
    if (shrinking !== mine) return;
    give(files);
    shrinking = undefined;
    await keepDraft();
  });
  shrinking = mine;
}

// ---- the length of the story

// Nothing is cut off: what is too long is told while it is typed, and holds back Send.
function count() {
  const { story } = form.elements;
  const left = words.most - [...story.value.trim()].length;
  story.setCustomValidity(left < 0 ? words.long : "");
  const says = left < TELL_FROM ? `${words.left} ${left.toLocaleString(words.days)}.` : "";
  letters.textContent = left < 0 ? `${words.long} ${says}` : says;
  letters.hidden = !says;
}

// ---- sending

// Nothing changes in the form while its report is on the way.
function hold(on) {
  form.inert = on;
  form.querySelector("button:not([type])").disabled = on;
}

async function submit(event) {
  event.preventDefault();
  clearTimeout(keeping);
  hold(true);
  tell(words.sending);
  box.scrollIntoView({ block: "nearest" });
  // A form loaded anew lacks its photographs until then.
  if (!(await keeps.catch(() => false))) {
    // Led back to it, a person may mend it and send it again.
    addEventListener("pageshow", () => hold(false), { once: true });
    form.submit();
    return;
  }
  try {
    await sendOff();
  } finally {
    hold(false);
  }
}

async function sendOff() {
  if (shrinking) {
    await show(words.shrinking);
    await shrinking;
  }
  await show(words.sending);
  const report = written();
  const { key } = report;
  try {
    await outbox.put("reports", report);
  } catch {
    // The phone is full: the plain form sends it now or keeps it on the screen.
    await show(words.full);
    if (!navigator.onLine) return;
    // The draft stays until then: nobody knows whether it gets through. Sent once more from the next form, it is the same
    // report by its key; another one under that key the server gives back with a new key.
    form.submit();
    return;
  }
  const { page } = await outbox.send(report);
  const kept = await outbox.get("reports", key);
  if (page !== undefined && !kept?.arrived) {
    const answer = new DOMParser().parseFromString(page, "text/html");
    // The server gives a new key where another report came under this one.
    form.elements.client_key.value = answer.querySelector(".report-form [name=client_key]")?.value || key;
    // It is not sent again by itself: whoever wrote it has it before them.
    const refused = { ...written(), refused: true };
    await outbox.put("reports", refused);
    if (refused.key !== key) await outbox.drop("reports", key);
    await keepDraft();
    await show();
    mend(answer);
    return;
  }
  await outbox.drop("drafts", here);
  empty();
  if (kept?.arrived) {
    location.assign(kept.receipt);
    return;
  }
  await leaveToWorker();
  await show(kept?.shut ? words.shut : byItself ? words.kept : words.keptOpen);
  box.scrollIntoView();
  box.focus({ preventScroll: true });
}

// What the server wants mended, or why it took nothing, above the form that is still filled.
function mend(page) {
  mark(page.querySelector(".report-form") ?? unmarked);
  const problems = page.querySelector(".problems") ?? refusal(page);
  if (photos().length) problems.querySelector("[data-photos-again]")?.remove();
  problems.tabIndex = -1;
  form.before(problems);
  problems.focus();
}

// An answer without a form in it; one that isn't the program's own has no sentence either.
function refusal(page) {
  const made = element("div", "", { className: "problems", role: "alert" });
  const why = page.querySelector("main .lead")?.textContent ?? words.refused;
  made.append(element("h2", words.unsent), element("p", why), element("p", words.still));
  return made;
}

// Marks the fields as another form has them marked.
function mark(other) {
  for (const old of document.querySelectorAll(".problems, .report-form .problem")) old.remove();
  for (const theirs of other.querySelectorAll("[id]")) {
    const own = form.querySelector(`#${theirs.id}`);
    for (const name of ["aria-invalid", "aria-describedby"]) {
      if (theirs.hasAttribute(name)) own?.setAttribute(name, theirs.getAttribute(name));
      else own?.removeAttribute(name);
    }
  }
  for (const problem of other.querySelectorAll(".problem")) {
    const field = form.querySelector(`#${problem.id.replace(/-problem$/, "")}`);
    field?.closest(".ask").append(problem);
    field?.closest("details")?.setAttribute("open", "");
  }
}

// Empties the form for the next report; what a label said is no field that is emptied by itself.
function empty() {
  form.reset();
  form.elements.mark.value = "";
  mark(unmarked);
  begin({ key: outbox.newKey(), fields: [], photos: [] });
}

function begin(draft) {
  shrinking = undefined;
  fill(draft);
  count();
  if (photos().length) makeSmall();
}

function watch() {
  form.addEventListener("input", () => {
    count();
    clearTimeout(keeping);
    keeping = setTimeout(keepDraft, 300);
  });
  form.elements.photos.addEventListener("change", makeSmall);
  form.elements.story.after(letters);
}

// Where the page was closed while its report was sent, what it left is no draft any more.
async function leftOver() {
  const draft = await outbox.get("drafts", here);
  const sent = draft && (await outbox.get("reports", draft.key));
  if (!sent || sent.refused) return draft;
  await outbox.drop("drafts", here);
  return undefined;
}

// What the worker is for: the form without signal, and sending once the page is closed. Sending from the page needs none.
async function settle() {
  try {
    const worker = await navigator.serviceWorker.register(words.worker, { scope: "/report/" });
    if (!worker.active) await (await caches.open("report-form")).add(location.href);
  } catch {
    // Without a worker the page does what it can.
  }
  // A browser gives up after a few tries, and begins anew when it is asked again.
  if ((await outbox.waiting()).length) await leaveToWorker();
}

// What was written or chosen before the phone told what it keeps stands: the same report, loaded anew, has its key and its
// photographs from there, and another waits.
async function resume(draft) {
  watch();
  const blank = { key: outbox.newKey(), fields: [], photos: photos() };
  if (!draft || !begun()) {
    begin(draft ?? blank);
    return;
  }
  // What stands there may have grown since the draft was kept.
  const [before, now] = [storyOf(draft.fields), storyOf(answers())];
  if (before ? now.startsWith(before) : !now) {
    begin({ ...blank, key: draft.key, photos: photos().length ? photos() : draft.photos });
  } else {
    await putAside(reportOf(draft)).catch(() => show(words.full));
    begin(blank);
    await keepDraft();
  }
}

async function start() {
  form.addEventListener("submit", submit);
  const late = new Promise((_, fail) => setTimeout(fail, STORAGE_MS));
  keeps = Promise.race([leftOver(), late]).then((draft) => resume(draft).then(() => true), () => false);
  if (!(await keeps)) {
    form.removeEventListener("submit", submit);
    return;
  }
  addEventListener("online", sendWaiting);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && sendWaiting());
  setInterval(sendWaiting, TRY_AGAIN_MS);
  await show();
  await Promise.all([settle(), sendWaiting()]);
}

// A page that came back with problems already holds what was typed. Where a script didn't arrive, the plain form does the work.
if (outbox && photographs && !document.querySelector(".problems")) start();
