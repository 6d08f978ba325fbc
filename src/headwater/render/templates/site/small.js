"use strict";
// Every page works without this. It only spares a second press from sending a form twice.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sent) event.preventDefault();
  form.dataset.sent = "yes";
});
// What waits for others asks every few seconds, where a person would press "Look again".
const again = document.querySelector("[data-again]");
async function ask() {
  const answer = await fetch(location.href).catch(() => null);
  const fresh = answer?.ok && new DOMParser().parseFromString(await answer.text(), "text/html");
  const now = document.querySelector("[data-again]");
  const next = fresh && fresh.querySelector("[data-again]");
  if (fresh && !next) return location.reload();
  if (next && next.innerHTML !== now.innerHTML) now.innerHTML = next.innerHTML;
  setTimeout(ask, again.dataset.again * 1000);
}
if (again) setTimeout(ask, again.dataset.again * 1000);
addEventListener("pageshow", () => {
  for (const form of document.forms) delete form.dataset.sent;
});
