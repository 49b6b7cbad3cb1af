// Reads a photographed label: Data Matrix, QR or bar code. The reader is large and fetched when first needed; what the label
// means is the server's to say, so without signal its text waits in the form.
const button = document.querySelector("[data-label-reader]");
const picture = button?.parentElement.querySelector("input[type=file]");
const says = button?.parentElement.querySelector("[role=status]");
const FORMATS = ["DataMatrix", "QRCode", "Code128"];
// What the last label filled in, by the field.
let filled = {};

const field = (name) => button.form.elements.namedItem(name);

function changed() {
  field("mark").dispatchEvent(new Event("input", { bubbles: true }));
}

function say(known) {
  for (const one of field("lot_known")) one.checked = one.value === known;
}

// What the label before filled in goes; what was typed since stays.
function forget() {
  field("mark").value = "";
  for (const [name, value] of Object.entries(filled)) {
    if (field(name).value === value) field(name).value = "";
  }
  if (filled.lot_text && !field("lot_text").value) say(undefined);
  filled = {};
  changed();
}

function loaded() {
  const base = button.dataset.labelReader;
  self.reader ??= new Promise((resolve, reject) => {
    const script = Object.assign(document.createElement("script"), { src: `${base}reader.js` });
    script.onload = resolve;
    script.onerror = () => reject(new Error("the reader could not be fetched"));
    document.head.append(script);
  }).then(() => self.ZXingWASM.prepareZXingModule({ overrides: { locateFile: (name) => base + name }, fireImmediately: true }));
  self.reader.catch(() => delete self.reader);
  return self.reader;
}

// The text as the symbol holds it, with the reader's sign before it where it is GS1's.
function raw({ text, contentType, symbologyIdentifier }) {
  return contentType === "GS1" ? symbologyIdentifier + text : text;
}

// Control characters by their pictures, so that a person can compare.
function shown(text) {
  return text.replace(/[\x00-\x1f]/g, (sign) => String.fromCharCode(0x2400 + sign.charCodeAt(0)));
}

// Nothing without signal.
async function meaning(text) {
  const { form } = button;
  const asked = fetch(`${form.getAttribute("action")}/label?text=${encodeURIComponent(text)}`, { signal: AbortSignal.timeout(8_000) });
  const answer = await asked.catch(() => undefined);
  return answer?.ok ? answer.json().catch(() => undefined) : undefined;
}

// The label overrules what was said of the lot before; where nothing answers what it tells, the server finds that out later.
async function understand(text, isMine) {
  forget();
  field("mark").value = text;
  say(undefined);
  says.textContent = `${button.dataset.read} ${shown(text)}`;
  changed();
  const told = await meaning(text);
  if (!told || !isMine() || field("mark").value !== text) return;
  for (const [name, value] of [["lot_text", told.lot], ["serial", told.serial], ["maker", told.maker]]) {
    if (value) field(name).value = filled[name] = value;
  }
  if (told.lot) say("read");
  says.textContent = told.says;
  changed();
}

async function read() {
  const [file] = picture.files;
  picture.value = "";
  if (!file) return;
  // What is read for one report is no part of the next.
  const key = field("client_key").value;
  const isMine = () => field("client_key").value === key;
  says.textContent = button.dataset.busy;
  try {
    await loaded();
  } catch {
    says.textContent = button.dataset.unloaded;
    return;
  }
  try {
    const [found] = await self.ZXingWASM.readBarcodes(file, { formats: FORMATS, textMode: "Plain", tryHarder: true, maxNumberOfSymbols: 1 });
    if (!found?.text) throw new Error("nothing found");
    if (isMine()) await understand(raw(found), isMine);
  } catch {
    says.textContent = button.dataset.nothing;
  }
}

// Emptied by hand, the lot was read wrong, and the server must not bring it back with the label's text.
function mistrust({ target: { name, value } }) {
  if (name === "lot_text" && !value.trim()) field("mark").value = "";
}

function watch() {
  button.parentElement.hidden = false;
  button.addEventListener("click", () => picture.click());
  picture.addEventListener("change", read);
  button.form.addEventListener("input", mistrust);
  button.form.addEventListener("reset", () => {
    filled = {};
    says.textContent = "";
  });
}

if (button) watch();
