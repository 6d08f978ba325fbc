"use strict";
// Every page works without this. It spares a second press from sending a form twice, asks again
// where others are waited for, and keeps answers while the network is gone. It has no words.

// Answers that wait. Each has an id, so that it counts once, and whose it is.
const SHELF = "headwater.waiting";
const who = document.querySelector("[data-who]")?.dataset.who;
const box = document.getElementById("waiting");
const question = document.getElementById("question");
const NOT_TAKEN = 200; // with the reason; what was taken is answered with nothing, 204
const FINAL = [NOT_TAKEN, 400, 404, 405, 413];
let state = "";
let sending = false;
let fresh = "";

function waiting() {
  try {
    return JSON.parse(localStorage.getItem(SHELF)) ?? [];
  } catch {
    return [];
  }
}
function keep(list) {
  try {
    localStorage.setItem(SHELF, JSON.stringify(list));
    return true;
  } catch {
    return false;
  }
}
const mine = () => waiting().filter((one) => one.who === who);
const drop = (id) => keep(waiting().filter((one) => one.id !== id));
const mark = (id, told) => keep(waiting().map((one) => (one.id === id ? { ...one, ...told } : one)));

function newId() {
  const numbers = [...crypto.getRandomValues(new Uint8Array(12))];
  return numbers.map((number) => number.toString(16).padStart(2, "0")).join("");
}
// What a person sees of their answer: the button's words, or what they typed.
function said(form, pressed) {
  if (pressed?.name) return pressed.innerText;
  const shown = [...form.elements].filter((one) => one.type === "text" || one.tagName === "SELECT");
  return shown.some((one) => one.type === "text" && one.value.trim())
    ? shown.map((one) => one.value).join(" ")
    : "";
}
function take(form, pressed) {
  const words = said(form, pressed);
  if (!words || question.dataset.sent) return true;
  const fields = [...new FormData(form)].filter(([name]) => name !== "csrf");
  if (pressed?.name) fields.push([pressed.name, pressed.value]);
  const ask = document.getElementById("asked").innerText;
  const path = new URL(form.action).pathname;
  const one = { id: newId(), who, path, ask, said: words, fields };
  if (!keep([...waiting(), one])) return false;
  question.dataset.sent = "yes";
  fresh = one.id;
  send();
  return true;
}
function post(one) {
  const csrf = document.querySelector("input[name=csrf]").value;
  const body = new URLSearchParams([...one.fields, ["id", one.id], ["csrf", csrf]]);
  const signal = AbortSignal.timeout?.(15000);
  return fetch(one.path, { method: "POST", body, redirect: "manual", signal }).catch(() => null);
}
async function reason(answer) {
  const text = await answer.text().catch(() => "");
  if (answer.status === NOT_TAKEN) return text;
  return new DOMParser().parseFromString(text, "text/html").querySelector("main")?.innerText ?? "";
}
// Send what waits, in order; `fresh` is the answer that was given just now.
async function send() {
  if (sending || who === undefined) return;
  sending = true;
  state = "";
  let told = false;
  const tried = new Set();
  for (;;) {
    const one = mine().find((each) => !each.fault && !tried.has(each.id));
    if (!one) break;
    tried.add(one.id);
    const answer = await post(one);
    if (!answer) state = "gone";
    else if (answer.status === 401 || answer.status === 403) state = "away";
    if (state === "gone" || state === "away") break;
    if (answer.status === 204 || (answer.status === NOT_TAKEN && one.id === fresh)) drop(one.id);
    else if (FINAL.includes(answer.status)) mark(one.id, { fault: await reason(answer) });
    else mark(one.id, { reason: await reason(answer) });
    if (answer.status === 204 || answer.status === NOT_TAKEN) told = true;
    else if (!FINAL.includes(answer.status)) state = "busy";
  }
  sending = false;
  const goesOn = state === "" || state === "busy";
  if (told && box && goesOn && !isTyping()) return location.assign(location.pathname);
  if (mine().some((one) => one.id === fresh)) putNext();
  fresh = "";
  show();
}
function isTyping() {
  const kinds = ["input[type=text]", "input[type=file]", "textarea"].map((kind) => `main ${kind}`);
  const fields = [...document.querySelectorAll(kinds.join())];
  return !question?.dataset.sent && fields.some((one) => one.value !== one.defaultValue);
}
// Put the next of the questions that the page carries.
function putNext() {
  const next = document.querySelector("template.ahead");
  question.replaceChildren(next ? next.content.cloneNode(true) : "");
  next?.remove();
  delete question.dataset.sent;
  const heading = document.getElementById("asked");
  if (!heading) return;
  heading.tabIndex = -1;
  heading.focus();
}
function row(one) {
  const item = document.createElement("li");
  item.textContent = `${one.ask} ${one.said}`;
  const why = one.fault ?? one.reason;
  if (why === undefined) return item;
  const more = box.querySelector("template").content.cloneNode(true);
  more.querySelector("span").textContent = why;
  more.querySelector("button").addEventListener("click", () => {
    drop(one.id);
    show();
  });
  item.append(" ", more);
  return item;
}
function show() {
  if (!box) return;
  const list = mine();
  // A page that was loaded anew has tried nothing yet, but what was not saved still waits.
  const unsaved = list.some((one) => one.reason !== undefined && one.fault === undefined);
  const now = state === "" && unsaved ? "busy" : state;
  const when = now === "gone" && question && !question.firstElementChild ? "empty" : now;
  for (const one of box.querySelectorAll("[data-when]")) one.hidden = one.dataset.when !== when;
  box.querySelector("ul").replaceChildren(...list.map(row));
  box.hidden = !list.length && !state;
}
async function sendAgain() {
  if (mine().some((one) => !one.fault)) await send();
  setTimeout(sendAgain, 5000);
}
show();
sendAgain();
addEventListener("online", send);

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (box && question?.contains(form) && take(form, event.submitter)) return event.preventDefault();
  if (box && !navigator.onLine) {
    state = "needed";
    show();
    box.scrollIntoView();
    return event.preventDefault();
  }
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
  if (question) delete question.dataset.sent;
});
