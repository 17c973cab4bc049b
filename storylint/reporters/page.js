// What moves on the page. All of it can be read without: nothing here adds words but the reasons of a score.
"use strict";
(() => {
  const root = document.documentElement;
  const all = (what, where = document) => [...where.querySelectorAll(what)];
  root.classList.add("moving");

  // Colours: as the computer is set, unless the reader chose.
  const themes = all("[data-theme]", document.body);
  const paint = (theme) => {
    if (theme) root.dataset.theme = theme; else delete root.dataset.theme;
    themes.forEach((button) => button.setAttribute("aria-pressed", String(button.dataset.theme === theme)));
  };
  const kept = { get: () => { try { return localStorage.getItem("storylint-theme") || ""; } catch { return ""; } },
    set: (theme) => { try { localStorage.setItem("storylint-theme", theme); } catch { /* not kept, then */ } } };
  paint(kept.get());
  themes.forEach((button) => button.addEventListener("click", () => { paint(button.dataset.theme); kept.set(button.dataset.theme); }));

  // The words of a paragraph without the marks and numbers that stand among them, and a range of them.
  const texts = (leaf) => {
    const walk = document.createTreeWalker(leaf.querySelector(".words"), NodeFilter.SHOW_TEXT, (node) =>
      node.parentElement.closest("sup, .ref, .label") ? NodeFilter.FILTER_REJECT : NodeFilter.FILTER_ACCEPT);
    const nodes = [];
    while (walk.nextNode()) nodes.push(walk.currentNode);
    return nodes;
  };
  const range = (leaf, start, end) => {
    const made = document.createRange();
    let at = 0, begun = false;
    for (const node of texts(leaf)) {
      // A draft is counted in characters, a page in units of 16 bits; they differ for rare letters.
      const letters = Array.from(node.data), units = (n) => letters.slice(0, n).join("").length;
      if (!begun && start < at + letters.length) { made.setStart(node, units(start - at)); begun = true; }
      if (begun && end <= at + letters.length) { made.setEnd(node, units(end - at)); return made; }
      at += letters.length;
    }
    return begun ? (made.setEndAfter(leaf.querySelector(".words").lastChild), made) : null;
  };

  // Whatever a link points at is unfolded first; words that are asked for light up.
  const persons = all(".person");
  const show = (target) => {
    for (let at = target; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
  };
  const light = (leaf, words) => {
    all(".lit").forEach((lit) => lit.classList.remove("lit"));
    if (window.CSS && CSS.highlights) {
      CSS.highlights.delete("lit");
      if (words) CSS.highlights.set("lit", new Highlight(words));
    } else if (words) leaf.classList.add("lit");
  };
  const go = (id, at) => {
    const target = id && document.getElementById(id);
    if (!target) return;
    if (target.classList.contains("person")) persons.forEach((person) => { if (person !== target) person.open = false; });
    show(target);
    const words = at ? range(target, ...at.split("-").map(Number)) : null;
    light(target, words);
    const focus = target.matches(".person") ? target.querySelector("h3") : target;
    if (!focus.hasAttribute("tabindex")) focus.setAttribute("tabindex", "-1");
    focus.focus({ preventScroll: true });
    const spot = words && words.getBoundingClientRect();
    if (spot) scrollTo({ top: scrollY + spot.top - innerHeight / 3 });
    else target.scrollIntoView({ block: target.matches(".person, h2") ? "start" : "center" });
  };
  document.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="#"]');
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const id = link.getAttribute("href").slice(1);
    event.preventDefault();
    history.pushState(null, "", "#" + id);
    go(id, link.dataset.at);
  });
  const arrive = () => go(location.hash.slice(1));
  addEventListener("popstate", arrive);

  // Why a score is what it is: written out when asked for.
  let data = null;
  const reasons = (details) => {
    data ??= JSON.parse(document.getElementById("reasons").textContent);
    const { units, rules } = data.sections[details.closest(".person").id];
    const list = document.createElement("ol");
    list.className = "reasons";
    const rows = [...(rules[details.dataset.rule] || [])].sort((one, two) => one[2] - two[2]);
    for (const [unit, weight, clean, why] of rows) {
      const [leaf, start, end] = units[unit];
      const item = document.createElement("li"), link = document.createElement("a"), hint = document.createElement("span");
      const paragraph = document.getElementById(leaf), words = paragraph && String(range(paragraph, start, end) || "").split(/\s+/);
      item.className = clean ? "" : "counts";
      link.href = `#${leaf}`;
      link.dataset.at = `${start}-${end}`;
      link.textContent = words ? `“${words.length > 14 ? [...words.slice(0, 9), "…", ...words.slice(-4)].join(" ") : words.join(" ")}”` : "";
      hint.className = "hint";
      hint.textContent = ` ${clean ? "clean" : "not clean"}, counts ${weight}: ${data.whys[why]}`;
      item.append(link, hint);
      list.append(item);
    }
    details.append(list);
  };
  // What only a screen reader needs is added when a person is opened.
  const name = (person) => all(".ref:not([aria-label]), sup.note a:not([aria-label])", person).forEach((link) => {
    const level = link.className.replace("ref ", "");
    link.setAttribute("aria-label", level ? `remark ${link.textContent}, ${level}` : `note ${link.textContent}`);
  });
  // The places of a remark that has several: a link to the words of each. (The numbers in the text lead back without it.)
  const places = (person) => all("[data-places]", person).forEach((spots) => {
    for (const place of spots.dataset.places.split(";").filter(Boolean)) {
      const [number, leaf, at] = place.split(" "), link = document.createElement("a");
      link.href = `#${leaf}`;
      link.dataset.at = at;
      link.textContent = number;
      spots.append(link, " ");
    }
    spots.removeAttribute("data-places");
  });
  document.addEventListener("toggle", (event) => {
    const details = event.target;
    if (!details.open) return;
    if (details.dataset.rule && !details.querySelector(".reasons")) reasons(details);
    if (details.classList.contains("person")) { name(details); places(details); }
  }, true);

  // The list: sorted and filtered.
  const body = document.querySelector("tbody"), form = document.querySelector(".filter");
  if (body && form) {
    const rows = [...body.rows];
    const heads = all("thead th", body.closest("table"));
    const order = new Intl.Collator(undefined, { numeric: true, sensitivity: "base" });
    const value = (row, column) => row.cells[column].dataset.value;
    heads.forEach((head, column) => head.querySelector("button").addEventListener("click", (event) => {
      const kind = event.currentTarget.dataset.sort, before = head.getAttribute("aria-sort");
      const up = before ? before === "descending" : kind !== "down";
      heads.forEach((other) => other.removeAttribute("aria-sort"));
      head.setAttribute("aria-sort", up ? "ascending" : "descending");
      const number = (row) => { const read = parseFloat(value(row, column)); return Number.isNaN(read) ? Infinity : read; };
      rows.sort((one, two) => {
        if (kind === "text") return (up ? 1 : -1) * order.compare(value(one, column), value(two, column));
        const a = number(one), b = number(two);
        return a === b ? 0 : a === Infinity || b === Infinity ? a - b : (up ? 1 : -1) * (a - b);
      });
      body.append(...rows);
    }));
    const filter = () => {
      const name = form.elements.name.value.trim().toLocaleLowerCase(), { state, rule } = form.elements;
      let shown = 0;
      rows.forEach((row) => {
        const fits = row.cells[0].textContent.toLocaleLowerCase().includes(name)
          && (!state.value || row.dataset.state === state.value)
          && (!rule.value || row.dataset.rules.split(" ").includes(rule.value));
        row.hidden = !fits;
        shown += fits;
      });
      form.querySelector("output").textContent = shown === rows.length ? "" : `${shown} of ${rows.length} shown`;
    };
    form.addEventListener("input", filter);
    form.addEventListener("submit", (event) => event.preventDefault());
    filter();
  }

  const doing = {
    print: () => print(),
    open: () => persons.forEach((person) => { person.open = true; }),
    close: () => persons.forEach((person) => { person.open = false; }),
  };
  all("[data-do]").forEach((button) => button.addEventListener("click", doing[button.dataset.do]));
  arrive();
})();
