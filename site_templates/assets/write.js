/* The form for the keeper: entries are written, checked and kept on this device, then handed over. */
(function (parts) {
  "use strict";
  const root = document.getElementById("jw");
  if (!root) return;
  const { facts, Fault, quantity, fieldValue, yaml, zip, takenOn, smaller, isDay, localDay, localTime } = parts;
  const { putPhoto, getPhoto, dropPhotos, stored, store: keepWords } = parts;

  const form = root.querySelector("form");
  const all = (selector, within = root) => [...within.querySelectorAll(selector)];
  const own = (name) => form.querySelector(`[data-entry="${name}"]`);
  const photoPart = form.querySelector("[data-photos]");
  let kept = stored("kept", []);
  let faults = 0;

  function store(part, value) {
    if (!keepWords(part, value)) {
      say("This browser keeps nothing: hand the entry over before you close the page.");
    }
  }

  function say(words) { root.querySelector("[data-said]").textContent = words; }

  function tell(input, words) {
    const place = input.closest(".jw-field, .jw-reading") || input;
    let note = place.querySelector(".jw-fault");
    if (!words) {
      if (note) note.remove();
      all(".jw-input", place).forEach((one) => { one.removeAttribute("aria-invalid"); one.removeAttribute("aria-describedby"); });
      return;
    }
    if (!note) {
      note = document.createElement("span");
      note.className = "jw-fault";
      faults += 1;
      note.id = `jw-fault-${faults}`;
      place.append(note);
    }
    note.textContent = words;
    input.setAttribute("aria-invalid", "true");
    input.setAttribute("aria-describedby", note.id);
  }

  /* Runs one reading of a field; a fault is told beside it and counted. */
  function tried(input, act, found) {
    try {
      const value = act();
      tell(input, "");
      return value;
    } catch (error) {
      if (!(error instanceof Fault)) throw error;
      tell(input, error.message);
      found.push(input);
      return undefined;
    }
  }

  function readingOf(row, found) {
    const input = row.querySelector('[data-key="value"]'), limit = row.querySelector('[data-key="limit"]');
    return tried(input, () => {
      if (!input.value.trim()) {
        if (limit.value) throw new Fault("Write the number of the limit, or set it back to “=”.");
        return undefined;
      }
      return quantity(input.value, facts.tests[row.dataset.parameter], limit.value);
    }, found);
  }

  function fieldOf(input, found) {
    return tried(input, () => {
      const text = input.value.trim();
      if (text) return fieldValue(input.dataset.kind, text);
      if (input.hasAttribute("data-needed")) throw new Fault("This is needed. Fill it in, or remove the line.");
      return undefined;
    }, found);
  }

  const SHORT = { water_change: "volume", top_off: "volume", feed: "what", upkeep: "task" };

  function rowOf(row, section, found) {
    const item = {};
    for (const input of all("[data-key]", row)) {
      const value = fieldOf(input, found);
      if (value !== undefined) item[input.dataset.key] = value;
    }
    if (item.event && item.name) {
      const { event, name, note, ...rest } = item;
      const more = note ? (event.text === "changed" ? { to: note } : { note }) : {};
      return { [event.text]: name, ...rest, ...more };
    }
    const short = SHORT[section];
    return short && Object.keys(item).length === 1 && item[short] ? item[short] : item;
  }

  const SECTIONS = ["doses", "water_change", "top_off", "livestock", "equipment", "upkeep", "feed", "costs"];
  const partOf = (section) => form.querySelector(`[data-section="${section}"]`);
  const rowsOf = (part) => all("[data-rows] > .jw-row", part);

  function photoItem(photo, day) {
    const item = { file: { text: photo.id } };
    for (const key of ["view", "caption"]) if (photo[key]) item[key] = { text: photo[key] };
    if (photo.taken && photo.taken !== day) item.taken = { text: photo.taken };
    return Object.keys(item).length === 1 ? item.file : item;
  }

  /* Gives the entry and the fields that are not right. */
  function collected() {
    const found = [], readings = {}, lists = {};
    for (const row of all(".jw-reading", form)) {
      const value = readingOf(row, found);
      if (value !== undefined) readings[row.dataset.parameter] = value;
    }
    for (const section of SECTIONS) {
      const ticked = section === "upkeep" ? all("[data-task]:checked", form).map((box) => ({ text: box.dataset.task })) : [];
      lists[section] = [...ticked, ...rowsOf(partOf(section)).map((row) => rowOf(row, section, found))];
    }
    const date = own("date").value, values = formValues();
    lists.photos = values.photos.map((photo) => photoItem(photo, date));
    tried(own("date"), () => {
      if (!isDay(date)) throw new Fault("Choose the day.");
      if (date > localDay(new Date())) throw new Fault(`The date ${date} is in the future. Correct it.`);
      if (date < "1950") throw new Fault(`The date ${date} is too long ago. Correct it.`);
    }, found);
    const entry = { date, time: own("time").value.slice(0, 5), title: own("title").value.trim(), readings, lists,
      notes: own("notes").value.trim() ? own("notes").value : "", question: own("question").value.trim() };
    const something = entry.title || entry.notes || entry.question || Object.keys(readings).length
      || Object.values(lists).some((items) => items.length);
    return { entry, found, something, values };
  }

  /* What stands in the fields, as it was typed: a draft must come back as it was. */
  function formValues() {
    const values = { readings: {}, rows: {}, tasks: all("[data-task]:checked", form).map((box) => box.dataset.task), photos: [] };
    for (const input of all("[data-entry]", form)) values[input.dataset.entry] = input.value;
    for (const row of all(".jw-reading", form)) {
      const [limit, value] = ["limit", "value"].map((key) => row.querySelector(`[data-key="${key}"]`).value);
      if (limit || value) values.readings[row.dataset.parameter] = { limit, value };
    }
    const typed = (row) => Object.fromEntries(all("[data-key]", row).map((input) => [input.dataset.key, input.value]));
    for (const section of SECTIONS) values.rows[section] = rowsOf(partOf(section)).map(typed);
    values.photos = rowsOf(photoPart).map((row) => ({ id: row.dataset.id, taken: row.dataset.taken, ...typed(row) }));
    return values;
  }

  function fill(values) {
    for (const input of all("[data-entry]", form)) input.value = values[input.dataset.entry] || "";
    for (const row of all(".jw-reading", form)) {
      const told = (values.readings || {})[row.dataset.parameter] || { limit: "", value: "" };
      for (const key of ["limit", "value"]) row.querySelector(`[data-key="${key}"]`).value = told[key];
      tell(row.querySelector('[data-key="value"]'), "");
    }
    for (const box of all("[data-task]", form)) box.checked = (values.tasks || []).includes(box.dataset.task);
    for (const section of SECTIONS) {
      rowsOf(partOf(section)).forEach((row) => row.remove());
      for (const told of (values.rows || {})[section] || []) fillRow(addRow(partOf(section)), told);
    }
    rowsOf(photoPart).forEach((row) => row.remove());
    for (const photo of values.photos || []) showPhoto(photo);
    tell(own("date"), "");
    counts();
  }

  function fillRow(row, told) {
    for (const input of all("[data-key]", row)) if (told[input.dataset.key] !== undefined) input.value = told[input.dataset.key];
  }

  function fresh() {
    const now = new Date();
    fill({ date: localDay(now), time: localTime(now) });
    all("details.jw-part", form).forEach((part) => { part.open = part.hasAttribute("data-readings"); });
  }

  function addRow(part) {
    const row = part.querySelector("template").content.firstElementChild.cloneNode(true);
    part.querySelector("[data-rows]").append(row);
    return row;
  }

  function counts() {
    for (const part of all("details.jw-part", form)) {
      const filled = part.hasAttribute("data-readings") ? all('[data-key="value"]', part).filter((i) => i.value.trim()).length
        : part.hasAttribute("data-words") ? all("[data-entry]", part).filter((i) => i.value.trim()).length
          : rowsOf(part).length + all("[data-task]:checked", part).length;
      part.querySelector("[data-count]").textContent = filled ? `(${filled})` : "";
    }
  }

  let timer = 0;
  function changed() {
    counts();
    clearTimeout(timer);
    timer = setTimeout(saveDraft, 300);
  }
  function saveDraft() {
    clearTimeout(timer);
    store("draft", formValues());
  }

  async function showPhoto(photo) {
    const row = addRow(photoPart);
    row.dataset.id = photo.id;
    row.dataset.taken = photo.taken;
    fillRow(row, photo);
    const canvas = row.querySelector("canvas");
    canvas.setAttribute("aria-label", `Photo taken on ${photo.taken}`);
    const bytes = await getPhoto(photo.id);
    if (!bytes) {
      row.remove();
      say("A photo of the draft is gone from this device. Choose it again.");
      return;
    }
    const picture = await createImageBitmap(new Blob([bytes], { type: "image/jpeg" }));
    const scale = Math.min(canvas.width / picture.width, canvas.height / picture.height);
    const [width, height] = [picture.width * scale, picture.height * scale];
    canvas.getContext("2d").drawImage(picture, (canvas.width - width) / 2, (canvas.height - height) / 2, width, height);
    picture.close();
  }

  async function addPhotos(files) {
    for (const file of files) {
      try {
        say(`Making ${file.name} smaller …`);
        const [taken, bytes] = [await takenOn(file), await smaller(file)];
        const mark = Array.from(crypto.getRandomValues(new Uint8Array(4)), (n) => n.toString(16).padStart(2, "0")).join("");
        const photo = { id: `${taken}-${mark}.jpg`, taken };
        await putPhoto(photo.id, bytes);
        await showPhoto(photo);
        say("");
      } catch (error) {
        say(error.name === "QuotaExceededError" ? "There is no room left on this device: hand over what is written."
          : `“${file.name}” is no picture that this browser can read. Choose a JPEG.`);
      }
    }
    counts();
    saveDraft();
  }

  /* --- Keeping and handing over ---------------------------------------------------------------- */

  function keep() {
    const { entry, found, something, values } = collected();
    if (found.length) {
      for (let part = found[0].closest("details"); part; part = part.parentElement.closest("details")) part.open = true;
      found[0].focus();
      say(found.length === 1 ? "One field is not right yet." : `${found.length} fields are not right yet.`);
      return;
    }
    if (!something) {
      say("Nothing is filled in yet.");
      return;
    }
    kept.push({ values, text: yaml(entry), date: entry.date, time: entry.time, told: summary(entry) });
    kept.sort((a, b) => `${a.date} ${a.time}`.localeCompare(`${b.date} ${b.time}`));
    store("kept", kept);
    fresh();
    saveDraft();
    say("");
    list();
    root.querySelector("#jw-kept").focus();
  }

  function summary(entry) {
    const named = (number, one, many) => (number ? [`${number} ${number === 1 ? one : many}`] : []);
    const others = Object.entries(entry.lists).filter(([s]) => s !== "photos").reduce((sum, [, items]) => sum + items.length, 0);
    return [...(entry.title ? [entry.title] : []), ...named(Object.keys(entry.readings).length, "reading", "readings"),
      ...named(others, "other fact", "other facts"), ...named(entry.lists.photos.length, "photo", "photos"),
      ...(entry.notes ? ["notes"] : []), ...(entry.question ? ["a question"] : [])].join(", ");
  }

  function button(words, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "jw-button jw-button--quiet";
    made.textContent = words;
    made.addEventListener("click", act);
    return made;
  }

  function list() {
    const place = root.querySelector("[data-list]");
    place.replaceChildren(...kept.map((one) => {
      const item = document.createElement("li");
      const when = document.createElement("strong");
      when.textContent = `${one.date} ${one.time}`.trim();
      const told = document.createElement("span");
      told.textContent = `${one.told}${one.handed ? " – handed over" : ""}`;
      const tools = document.createElement("div");
      tools.className = "jw-actions";
      tools.append(button("Copy as text", () => copy(one)), button("Change", () => change(one)), button("Remove", () => removeEntry(one)));
      item.append(when, " ", told, tools);
      return item;
    }));
    root.querySelector("[data-kept]").hidden = kept.length === 0;
    root.querySelector('[data-do="clear"]').hidden = !kept.some((one) => one.handed);
  }

  async function copy(one) {
    try {
      await navigator.clipboard.writeText(one.text);
      say("Copied. Photos are not in the text: they go by ZIP file.");
    } catch (error) {
      say("This browser does not let the page copy. Download the ZIP file instead.");
    }
  }

  function change(one) {
    const { something } = collected();
    if (something && !window.confirm("The form is not empty. Put what is in it aside for good?")) return;
    dropPhotos(formValues().photos);
    kept = kept.filter((other) => other !== one);
    store("kept", kept);
    fill(one.values);
    saveDraft();
    list();
    own("title").focus();
  }

  async function removeEntry(one) {
    if (!one.handed && !window.confirm("Remove this entry? It has not been handed over.")) return;
    kept = kept.filter((other) => other !== one);
    store("kept", kept);
    await dropPhotos(one.values.photos);
    list();
  }

  async function parcel() {
    const files = [], taken = new Set();
    for (const one of kept) {
      const stem = [one.date, one.time.replace(":", "")].filter(Boolean).join("-");
      let name = stem;
      for (let number = 2; taken.has(name); number += 1) name = `${stem}-${number}`;
      taken.add(name);
      files.push({ name: `log/${name}.yml`, bytes: new TextEncoder().encode(one.text) });
      for (const photo of one.values.photos) {
        const bytes = await getPhoto(photo.id);
        if (bytes) files.push({ name: `photos/${photo.id}`, bytes: new Uint8Array(bytes) });
      }
    }
    const now = new Date();
    const name = `phone-${localDay(now)}-${localTime(now).replace(":", "")}.zip`;
    return new File([zip(files, now)], name, { type: "application/zip" });
  }

  function handed() {
    kept.forEach((one) => { one.handed = true; });
    store("kept", kept);
    list();
  }

  async function download() {
    const file = await parcel(), link = document.createElement("a");
    link.href = URL.createObjectURL(file);
    link.download = file.name;
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    handed();
    say("Check that the file has arrived before you remove the entries here.");
  }

  async function share() {
    const file = await parcel();
    const whole = { files: [file], title: "Journal entries" };
    const words = { title: "Journal entries", text: kept.map((one) => one.text).join("\n") };
    const files = navigator.canShare && navigator.canShare(whole);
    try {
      await navigator.share(files ? whole : words);
      handed();
      say(files ? "" : "Only the text was shared: photos go by ZIP file.");
    } catch (error) {
      if (error.name !== "AbortError") say("Sharing did not work. Download the ZIP file instead.");
    }
  }

  async function clearHanded() {
    if (!window.confirm("Remove the entries that were handed over from this device?")) return;
    const gone = kept.filter((one) => one.handed);
    kept = kept.filter((one) => !one.handed);
    store("kept", kept);
    await Promise.all(gone.map((one) => dropPhotos(one.values.photos)));
    list();
  }

  function check(input) {
    const row = input.closest(".jw-reading");
    if (row && row.querySelector('[data-key="value"]').value.trim()) readingOf(row, []);
    else if (!row && input.matches(".jw-row [data-key]") && input.value.trim()) fieldOf(input, []);
  }

  /* A message that comes up while a finger is down would move what it is about to press. */
  let pressing = false;
  const waiting = [];
  function calmly(act) { if (pressing) waiting.push(act); else act(); }
  function released() {
    setTimeout(() => {
      pressing = false;
      waiting.splice(0).forEach((act) => act());
    });
  }
  addEventListener("pointerdown", () => { pressing = true; }, true);
  addEventListener("pointerup", released, true);
  addEventListener("pointercancel", released, true);

  root.addEventListener("input", changed);
  root.addEventListener("change", (event) => {
    const input = event.target;
    if (input.matches("[data-file]")) {
      const files = [...input.files];
      input.value = "";
      addPhotos(files);
    } else {
      calmly(() => check(input));
    }
    changed();
  });
  root.addEventListener("click", (event) => {
    const pressed = event.target.closest("button");
    if (!pressed) return;
    if (pressed.hasAttribute("data-add")) {
      addRow(pressed.closest("details")).querySelector("[data-key]").focus();
      changed();
    } else if (pressed.hasAttribute("data-remove")) {
      const row = pressed.closest(".jw-row"), part = row.closest("details");
      if (row.dataset.id) dropPhotos([{ id: row.dataset.id }]);
      row.remove();
      (part.querySelector("[data-add]") || part.querySelector("summary")).focus();
      changed();
    } else if (pressed.dataset.do) {
      ({ zip: download, share, clear: clearHanded })[pressed.dataset.do]();
    }
  });
  form.addEventListener("submit", (event) => { event.preventDefault(); keep(); });
  addEventListener("pagehide", saveDraft);

  const draft = stored("draft", null);
  fresh();
  if (draft) fill(draft);
  list();
  root.querySelector('[data-do="share"]').hidden = !navigator.share;
  root.hidden = false;
  parts.offline(root);
})(window.journalWrite);
