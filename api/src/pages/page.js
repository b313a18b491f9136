// Makes pages nicer; each of them works without it.
"use strict";

// A second press while the first is under way sends nothing twice: the form's key sees to
// that. The button only says that it was heard.
document.addEventListener("submit", (event) => {
  for (const button of event.target.querySelectorAll("button[type=submit]")) {
    button.setAttribute("aria-busy", "true");
  }
});
window.addEventListener("pageshow", () => {
  for (const button of document.querySelectorAll("button[aria-busy]")) {
    button.removeAttribute("aria-busy");
  }
});

// What is not right comes into view.
document.getElementById("faults")?.focus();

// Ticks of a load stay while the tablet sleeps or its page is loaded anew, and the name of
// whoever works is there the next time.
const kept = {
  read(name) { try { return localStorage.getItem(name); } catch { return null; } },
  write(name, text) { try { localStorage.setItem(name, text); } catch { /* kept nowhere */ } },
};
for (const box of document.querySelectorAll("input.tick")) {
  const name = `tick ${location.pathname} ${box.id}`;
  box.checked ||= kept.read(name) === "on";
  box.addEventListener("change", () => kept.write(name, box.checked ? "on" : ""));
}
for (const who of document.querySelectorAll("input[name=who], input[name='who:needed']")) {
  who.value ||= kept.read("who") ?? "";
  who.form.addEventListener("submit", () => kept.write("who", who.value));
}
