// What a page does in the browser: rows of a form, totals while typing, drafts that outlive errors,
// reloads and a stopped server. Without it every form still works. Numbers come rounded from the server.
"use strict";
(() => {
  const drafts = "nutricost draft ";
  const guarded = new Set(["csrf", "revision", "of", "was", "seen"]);

  const store = {
    get(key) { try { return localStorage.getItem(key); } catch { return null; } },
    set(key, text) { try { localStorage.setItem(key, text); } catch { /* private mode: nothing is kept */ } },
    drop(key) { try { localStorage.removeItem(key); } catch { /* as above */ } },
  };

  for (const done of JSON.parse(document.body.dataset.draftsDone || "[]")) store.drop(drafts + done);
  document.querySelector("[data-print]")?.addEventListener("click", () => print());
  document.getElementById("alert")?.focus();

  // -- rows ------------------------------------------------------------------------------------
  const group = (name) => document.querySelector(`[data-group="${name}"]`);

  function nextNumber(list) {
    const numbers = [...list.querySelectorAll(":scope > [data-row]")].map((row) => Number(/\[(\d+)\]/.exec(row.dataset.row)?.[1] ?? -1));
    return Math.max(-1, ...numbers) + 1;
  }

  function addRow(name, number) {
    const list = group(name);
    const template = document.querySelector(`template[data-template="${name}"]`);
    if (!list || !template) return null;
    number ??= nextNumber(list);
    const holder = document.createElement("template");
    holder.innerHTML = template.innerHTML.replaceAll("NUMBER", String(number));
    const row = holder.content.querySelector("[data-row]");
    list.append(row);
    return row;
  }

  document.addEventListener("click", (event) => {
    const adder = event.target.closest("[data-add-row]");
    if (adder) {
      addRow(adder.dataset.addRow)?.querySelector("input:not([type=hidden])")?.focus();
      return;
    }
    const remover = event.target.closest("[data-remove-row]");
    if (remover) {
      const row = remover.closest("[data-row]");
      const list = row.parentElement;
      const form = row.closest("form");
      row.remove();
      (list.querySelector("[data-row]:last-child input:not([type=hidden])") ?? document.querySelector(`[data-add-row="${list.dataset.group}"]`))?.focus();
      form.dispatchEvent(new Event("input", { bubbles: true }));
    }
  });

  // -- drafts ----------------------------------------------------------------------------------
  function values(form) {
    const found = {};
    for (const field of form.elements) {
      if (field.name && !guarded.has(field.name) && field.type !== "file") found[field.name] = field.value;
    }
    return found;
  }

  function fill(form, typed) {
    for (const name of Object.keys(typed)) {
      const row = /^([a-z_.]+)\[(\d+)\]\./.exec(name);
      if (row && !form.elements[name] && typed[name]) addRow(row[1], Number(row[2]));
    }
    for (const list of form.querySelectorAll("[data-group]")) {
      for (const row of list.querySelectorAll(":scope > [data-row]")) {
        if (![...Object.keys(typed)].some((name) => name.startsWith(row.dataset.row + "."))) row.remove();
      }
    }
    for (const [name, text] of Object.entries(typed)) {
      const field = form.elements[name];
      if (!field || !("value" in field)) continue;
      if (field.tagName === "SELECT" && text && ![...field.options].some((one) => one.value === text)) field.add(new Option(text, text));
      field.value = text;
      if (text) field.closest("details")?.setAttribute("open", "");
    }
  }

  function keepDraft(form) {
    const key = drafts + form.dataset.draft;
    const notice = document.querySelector("[data-draft-notice]");
    const asLoaded = JSON.stringify(values(form));
    const old = store.get(key);
    const fresh = "fresh" in form.dataset; // came back from the server with what was typed
    if (old && !fresh) {
      try {
        const draft = JSON.parse(old);
        if (JSON.stringify(draft.values) !== asLoaded) {
          fill(form, draft.values);
          const stale = form.elements.revision && draft.revision !== form.elements.revision.value;
          if (stale) form.elements.revision.value = draft.revision; // the server then says what changed meanwhile
          notice.textContent = "What you typed before is here again; it is not saved yet.";
          const button = document.createElement("button");
          button.type = "button";
          button.className = "quiet small";
          button.textContent = "Start from what is saved";
          button.addEventListener("click", () => { store.drop(key); location.reload(); });
          notice.append(button);
          notice.hidden = false;
        }
      } catch { store.drop(key); }
    }
    form.addEventListener("input", () => {
      store.set(key, JSON.stringify({ values: values(form), revision: form.elements.revision?.value ?? "" }));
    });
    form.addEventListener("submit", () => {
      store.set(key, JSON.stringify({ values: values(form), revision: form.elements.revision?.value ?? "" }));
    });
  }

  // -- totals while typing ---------------------------------------------------------------------
  function nameLabels(form) {
    const list = document.getElementById("label-names");
    if (!list) return;
    list.replaceChildren(...[...form.elements]
      .filter((field) => /^labels\[\d+\]\.name$/.test(field.name) && field.value.trim())
      .map((field) => new Option(field.value, field.value)));
  }

  function showProblems(form, problems, touched) {
    for (const field of form.elements) {
      const place = field.name && document.getElementById(field.name + "-wrong");
      if (!place) continue;
      const texts = touched.has(field.name) && field.value.trim() ? problems[field.name] ?? [] : [];
      const before = place.textContent;
      if (texts.join("") === before.trim()) continue;
      if (!touched.has(field.name)) continue;
      place.replaceChildren(...texts.map((text) => {
        const span = document.createElement("span");
        span.className = "wrong";
        span.textContent = text;
        return span;
      }));
      if (texts.length) field.setAttribute("aria-invalid", "true");
      else field.removeAttribute("aria-invalid");
    }
  }

  function showMatches(form, lines) {
    for (const row of form.querySelectorAll('[data-group="ingredients"] > [data-row]')) {
      const line = lines[row.dataset.row];
      const name = row.dataset.row + ".food";
      const select = form.elements[name];
      const note = document.getElementById(name + "-note");
      if (!select || document.activeElement === select) continue;
      const chosen = select.value;
      const fromLabel = line?.food?.source === "label";
      const first = new Option(line?.food && !chosen ? (fromLabel ? "label: " : "") + line.food.description : "found by its name", "");
      const options = [first];
      for (const food of line?.candidates ?? []) options.push(new Option(food.description, food.key));
      if (chosen && !options.some((one) => one.value === chosen)) options.push(new Option(line?.food?.description ?? chosen, chosen));
      select.replaceChildren(...options);
      select.value = chosen;
      const unsure = line?.status === "unsure";
      note.textContent = !line ? "" : line.status === "none" ? "no food found: write it another way, or type its label" : unsure ? "not sure: please check" : "";
      note.classList.toggle("unsure", unsure);
    }
  }

  function showTotals(panel, answer) {
    const list = panel.querySelector("[data-totals-list]");
    const empty = panel.querySelector("[data-totals-empty]");
    list.hidden = !answer.shown;
    empty.hidden = Boolean(answer.shown);
    const missing = panel.querySelector("[data-totals-missing]");
    missing.replaceChildren(...(answer.missing ?? []).map((text) => {
      const item = document.createElement("li");
      item.textContent = text;
      return item;
    }));
    missing.hidden = !answer.missing?.length;
    if (!answer.shown) return;
    for (const cell of panel.querySelectorAll("[data-figure]")) cell.textContent = answer.shown[cell.dataset.figure] ?? "";
    clearTimeout(showTotals.saying);
    showTotals.saying = setTimeout(() => {
      panel.querySelector("[data-totals-said]").textContent = `A serving costs ${answer.shown["per_serving.cost"]} and holds ${answer.shown["per_serving.energy"]}.`;
    }, 2000);
  }

  function previewTotals(form) {
    const panel = document.querySelector("[data-totals]");
    const touched = new Set();
    let timer = 0;
    let running = null;
    async function ask() {
      running?.abort();
      running = new AbortController();
      const sent = new FormData(form);
      try {
        const response = await fetch(form.dataset.preview, { method: "POST", body: sent, signal: running.signal });
        if (!response.ok) return;
        const answer = await response.json();
        showTotals(panel, answer);
        showMatches(form, answer.lines);
        showProblems(form, answer.problems, touched);
      } catch (error) {
        if (error.name === "AbortError") return;
        panel.querySelector("[data-totals-empty]").textContent = "The program does not answer. What you typed is kept in this browser.";
        panel.querySelector("[data-totals-empty]").hidden = false;
      }
    }
    form.addEventListener("input", () => { nameLabels(form); clearTimeout(timer); timer = setTimeout(ask, 350); });
    form.addEventListener("focusout", (event) => { if (event.target.name) touched.add(event.target.name); });
    nameLabels(form);
    if (Object.entries(values(form)).some(([name, text]) => name.endsWith(".line") && text)) ask();
  }

  const form = document.querySelector("form[data-draft]");
  if (form) {
    keepDraft(form);
    if (form.dataset.preview) previewTotals(form);
  }
})();
