// Photos that wait for the connection: kept on this device as taken, sent one after another, let go once they arrived.
const job = document.querySelector("[data-job]")?.dataset.job ?? "";
const held = new Map(); // where this browser keeps nothing, the page itself still holds them

function store(mode, work) {
  return new Promise((done, failed) => {
    const asked = indexedDB.open("deadfront", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("photos", { keyPath: "action" });
    asked.onerror = () => failed(asked.error);
    asked.onsuccess = () => {
      const base = asked.result;
      const result = work(base.transaction("photos", mode).objectStore("photos"));
      result.onsuccess = () => { done(result.result); base.close(); };
      result.onerror = () => { failed(result.error); base.close(); };
    };
  });
}
const ours = (photo) => photo.action.startsWith(`/jobs/${job}/`);

export async function keepPhoto(action, file) {
  const photo = { action, name: file.name, type: file.type, data: await file.arrayBuffer() };
  held.set(action, photo);
  try { await store("readwrite", (photos) => photos.put(photo)); } catch { /* the page itself holds it */ }
}
export async function waitingPhotos() {
  try { for (const photo of await store("readonly", (photos) => photos.getAll())) if (ours(photo) && !held.has(photo.action)) held.set(photo.action, photo); } catch { /* none kept */ }
  return [...held.values()].filter(ours);
}
let sending = false;
// Send what waits; told of each: whether it arrived, or the words of a refusal.
export async function sendPhotos(told) {
  if (sending) return;
  sending = true;
  for (const photo of await waitingPhotos()) {
    const body = new FormData();
    body.append("file", new Blob([photo.data], { type: photo.type }), photo.name);
    let answer = null;
    try { answer = await fetch(photo.action, { method: "POST", body, redirect: "manual", credentials: "same-origin", headers: { "hx-request": "true" }, signal: AbortSignal.timeout(60000) }); } catch { break; }
    const arrived = answer.type === "opaqueredirect" || answer.ok;
    if (!arrived && (answer.status === 403 || answer.status === 421 || answer.status >= 500)) break;
    held.delete(photo.action);
    try { await store("readwrite", (photos) => photos.delete(photo.action)); } catch { /* was not kept */ }
    told(photo, arrived ? "" : new DOMParser().parseFromString(await answer.text(), "text/html").body.textContent.trim());
  }
  sending = false;
}
