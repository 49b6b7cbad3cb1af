// Reads a photographed label: Data Matrix, QR or bar code. The reader is large and fetched when first needed; what the label
// means is the server's to say, so without signal its text waits in the form.
const button = document.querySelector("[data-label-reader]");
const picture = button?.parentElement.querySelector("input[type=file]");
const says = button?.parentElement.querySelector("[role=status]");
const FORMATS = ["DataMatrix", "QRCode", "Code128"];

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

async function meaning(text) {
  const { form } = button;
  const answer = await fetch(`${form.getAttribute("action")}/label?text=${encodeURIComponent(text)}`, { signal: AbortSignal.timeout(8_000) });
  return answer.ok ? answer.json() : {};
}

async function understand(text) {
  const { elements } = button.form;
  elements.mark.value = text;
  elements.lot_known.value = "read";
  says.textContent = `${button.dataset.read} ${shown(text)}`;
  elements.mark.dispatchEvent(new Event("input", { bubbles: true }));
  const told = await meaning(text).catch(() => ({}));
  if (told.lot) elements.lot_text.value = told.lot;
  if (told.serial) elements.serial.value = told.serial;
  if (told.maker) elements.maker.value = told.maker;
  if (told.says) says.textContent = told.says;
  elements.mark.dispatchEvent(new Event("input", { bubbles: true }));
}

async function read() {
  const [file] = picture.files;
  picture.value = "";
  if (!file) return;
  says.textContent = button.dataset.busy;
  try {
    await loaded();
    const [found] = await self.ZXingWASM.readBarcodes(file, { formats: FORMATS, textMode: "Plain", tryHarder: true, maxNumberOfSymbols: 1 });
    if (!found?.text) throw new Error("nothing found");
    await understand(raw(found));
  } catch {
    says.textContent = button.dataset.nothing;
  }
}

function watch() {
  button.parentElement.hidden = false;
  button.addEventListener("click", () => picture.click());
  picture.addEventListener("change", read);
}

if (button) watch();
