// Follows work that takes time: asks how far it is, says so, and shows the page anew when it has ended.
// Without script the page reloads itself instead.
const box = document.querySelector("[data-progress]");

async function ask() {
  try {
    const answer = await fetch(box.dataset.progress, { headers: { accept: "application/json" } });
    const { running, says, done, of } = await answer.json();
    if (!answer.ok || !running) return location.reload();
    box.querySelector("p").textContent = says;
    const bar = box.querySelector("progress");
    bar.max = of;
    bar.value = done;
  } catch {
    // The line is down for a moment: the next try may get through.
  }
  setTimeout(ask, 1000);
}

if (box) setTimeout(ask, 500);
