// Sorts by keys: numbers take suggestions, letters turn flags and send. Without script every one of them is a link,
// a field or a button. Single keys can be turned off (WCAG 2.1.4), and that is remembered on this machine.
const root = document.documentElement;
const help = document.querySelector(".keys-help");
const toggle = help.querySelector("button");
const form = document.querySelector(".decision");
let on = localStorage.getItem("sorting keys") !== "off";

function show() {
  root.classList.toggle("keyed", on);
  toggle.setAttribute("aria-pressed", String(on));
  toggle.textContent = on ? "Keys are on" : "Keys are off";
}

// What was taken, for who doesn't see the list.
const told = Object.assign(document.createElement("p"), { className: "unseen", role: "status" });

help.hidden = false;
help.after(told);
show();
toggle.addEventListener("click", () => {
  on = !on;
  localStorage.setItem("sorting keys", on ? "on" : "off");
  show();
});

// A suggestion fills the form in place and keeps what was typed elsewhere in it.
function take(link) {
  const { part, mode, lot } = link.dataset;
  if (mode) {
    form.elements.part.value = part || form.elements.part.value;
    form.elements.mode.value = mode;
  }
  if (lot) form.elements.lot.value = lot;
  for (const other of link.closest("ul").querySelectorAll("a")) {
    other.classList.toggle("taken", other === link);
    other.ariaCurrent = String(other === link);
  }
  told.textContent = `Taken: ${link.querySelector("span").textContent}`;
}

for (const link of document.querySelectorAll(".guesses a")) {
  link.addEventListener("click", (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    take(link);
  });
}

// Turns a flag over; where it becomes "no", the reason is what is asked next.
function turn(flag) {
  const [yes, no] = flag.querySelectorAll("input[type=radio]");
  (yes.checked ? no : yes).checked = true;
  if (no.checked) flag.querySelector("input[type=text]").focus();
}

const writes = (element) => element.matches("textarea, select, input:not([type=radio])");

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && writes(document.activeElement)) return document.activeElement.blur();
  // A key held down takes one step: what it sends or leaves can't be seen in time.
  if (!on || event.repeat || event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  if (event.target instanceof Element && writes(event.target)) return;
  const key = event.key.toLowerCase();
  const flag = document.querySelector(`[data-flag="${CSS.escape(key)}"]`);
  const target = key === "z" ? document.querySelector(".after-sort button") : document.querySelector(`[data-key="${CSS.escape(key)}"]`);
  if (!flag && !target) return;
  event.preventDefault();
  if (flag) return turn(flag);
  if (!target.matches("details")) return target.click();
  target.open = true;
  target.querySelector("textarea, input:not([type=hidden])").focus();
});
