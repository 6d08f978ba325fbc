"use strict";
// Every page works without this. It only spares a second press from sending a form twice.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sent) event.preventDefault();
  form.dataset.sent = "yes";
});
addEventListener("pageshow", () => {
  for (const form of document.forms) delete form.dataset.sent;
});
