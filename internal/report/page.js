
"use strict";
(() => {
  const find = document.getElementById("find");
  const form = find.querySelector("form");
  const orders = [...document.querySelectorAll("[data-status]")];
  const groups = [...document.querySelectorAll("[data-group]")];
  const shown = document.getElementById("shown");

  // As people type: no case, no accents.
  const plain = (s) => s.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const names = orders.map((o) => plain(o.dataset.name));

  const apply = () => {
    const asked = [...form.querySelectorAll("select")].filter((s) => s.value !== "");
    const text = plain(form.elements.name.value.trim());
    let count = 0;
    orders.forEach((o, i) => {
      const fits = names[i].includes(text) && asked.every((s) => "=" + o.dataset[s.name] === s.value);
      o.hidden = !fits;
      if (fits) count++;
    });
    for (const g of groups) g.hidden = !g.querySelector("[data-status]:not([hidden])");
    const all = count === orders.length;
    shown.textContent = all ? "" : shown.dataset.text.replace("{n}", count).replace("{all}", orders.length);
  };

  form.addEventListener("input", apply);
  form.addEventListener("submit", (e) => e.preventDefault());
  form.addEventListener("reset", () => setTimeout(apply));
  find.hidden = false;
  apply(); // a page that was left and come back to keeps what was typed
})();
