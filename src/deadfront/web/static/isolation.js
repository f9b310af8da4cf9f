// Ticks are kept on this device the moment they are made and sent when the program answers: a basement has no signal.
const form = document.getElementById("ticks");
if (form) {
  const said = document.getElementById("ticks-said");
  const inJob = form.dataset.kept === "job";
  const place = "ticks:" + location.pathname + ":" + form.dataset.ticks;
  const boxes = [...form.querySelectorAll("input[type=checkbox]")];
  const idOf = (box) => box.name.slice("tick:".length);
  let held = read();
  let sending = false;

  function read() {
    try { return JSON.parse(localStorage.getItem(place) || "{}"); } catch { return {}; }
  }
  function keep() {
    try {
      if (Object.keys(held).length) localStorage.setItem(place, JSON.stringify(held)); else localStorage.removeItem(place);
    } catch { /* no room: the page itself still holds them */ }
    tell();
  }
  function tell() {
    const count = Object.keys(held).length;
    for (const box of boxes) box.closest("li").classList.toggle("waits-to-go", inJob && idOf(box) in held);
    said.textContent = !inJob ? (count ? form.dataset.here : "")
      : count ? form.dataset.unsent.replace("0", count) : said.textContent ? form.dataset.sent : "";
  }
  function now() {
    const d = new Date(), two = (n) => String(n).padStart(2, "0");
    return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())} ${two(d.getHours())}:${two(d.getMinutes())}`;
  }
  async function send() {
    if (!inJob || sending || !Object.keys(held).length) return;
    sending = true;
    const sent = { ...held };
    try {
      const body = new URLSearchParams({ zone: form.dataset.ticks, changes: JSON.stringify(sent) });
      const answer = await fetch(form.action, { method: "POST", body, credentials: "same-origin", signal: AbortSignal.timeout(15000) });
      if (answer.ok) for (const [id, change] of Object.entries(sent)) if (held[id]?.join() === change.join()) delete held[id];
    } catch { /* not there: kept, tried again */ }
    sending = false;
    keep();
  }

  document.documentElement.classList.add("scripted");
  for (const box of boxes) if (idOf(box) in held) box.checked = held[idOf(box)][0];
  form.addEventListener("change", (event) => {
    const box = event.target;
    if (!box.name?.startsWith("tick:")) return;
    const at = now();
    if (!inJob && !box.checked) delete held[idOf(box)]; else held[idOf(box)] = [box.checked, at];
    box.closest("label").querySelector(".when").textContent = box.checked ? at : "";
    keep();
    send();
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  addEventListener("online", send);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
  setInterval(send, 15000);
  tell();
  send();
}
