/* Numbers with their units, read as `journal-tools check` reads them. */
(function (form) {
  "use strict";

  const told = document.getElementById("jw-facts");
  const facts = told ? JSON.parse(told.textContent) : { tests: {}, kinds: {}, currency: "" };

  const NUMBER = "[-+]?(?:\\d+(?:[.,]\\d+)?|[.,]\\d+)(?:[eE][-+]?\\d+)?";
  const SIGN = "<|>|≤|≥|below\\b|above\\b|under\\b|over\\b";
  const QUANTITY = new RegExp(
    `^\\s*(${SIGN})?\\s*(${NUMBER})\\s*(?:(?:±|\\+/-|\\+-)\\s*(${NUMBER})\\s*(%(?=\\s*\\S|\\s*$))?)?\\s*([^]*?)\\s*$`, "i");

  class Fault extends Error {}

  function plainUnit(text) {
    return text.replace(/[µμ]/g, "μ").replace(/³/g, "3").replace(/²/g, "2").replace(/°/g, "")
      .trim().replace(/\s+/g, " ").toLowerCase().replace(/ \/ /g, "/");
  }

  /* "8,20" → "8.20"; a comma that may part thousands is not guessed at. */
  function numberText(written, whole) {
    if (/^[-+]?[1-9]\d{0,2},\d{3}$/.test(written)) {
      const plain = written.replace(",", "");
      throw new Fault(`“${whole}” can be read in two ways: ${plain} or ${written.replace(",", ".")}. `
        + `Write ${plain} without the comma, or a decimal point.`);
    }
    return written.replace(",", ".").replace(/^\+/, "").replace(/^(-?)\./, "$10.");
  }

  /* Gives the text that goes into the entry: a bare number, or text with sign, error and unit. */
  function quantity(written, kind, sign = "") {
    const whole = written.trim();
    const found = QUANTITY.exec(whole);
    if (!found) throw new Fault(`“${whole}” is not a number. Write a number, such as “12 ${kind.unit}”.`);
    const limit = sign || ({ "<": "<", "≤": "<", below: "<", under: "<", ">": ">", "≥": ">", above: ">", over: ">" })[(found[1] || "").toLowerCase()] || "";
    if (limit && !kind.limit) {
      throw new Fault(`“${whole}” is a limit; a number is wanted here. Write the number itself, without the sign.`);
    }
    const number = numberText(found[2], whole);
    const error = found[3] === undefined ? "" : numberText(found[3], whole);
    if (error.startsWith("-")) throw new Fault(`The error in “${whole}” is not possible.`);
    let percent = found[4] || "", unit = found[5];
    if (percent && !unit && kind.limits["%"]) [percent, unit] = ["", "%"];
    const range = kind.limits[plainUnit(unit || kind.bare)];
    if (!range) {
      throw new Fault(`The unit “${unit}” is not known for ${kind.label.replace(/^An? /, "a ").toLowerCase()}. Use ${kind.unit}.`);
    }
    const value = Number(number);
    if (!(value >= range[0] && value <= range[1]) || (kind.more && value === 0)) {
      throw new Fault(`${kind.label} of “${whole}” is outside what can be (${kind.range}). Check the decimal point and the unit.`);
    }
    if (!limit && !error && !unit) return { number };
    const spread = error ? ` ± ${error}${percent ? " %" : ""}` : "";
    return { text: `${limit}${number}${spread}${unit ? ` ${unit}` : ""}` };
  }

  function count(written) {
    if (!/^\d+$/.test(written) || Number(written) < 1 || Number(written) > 10000) {
      throw new Fault(`“${written}” is not a number of animals. Write a whole number such as 2.`);
    }
    return { number: String(Number(written)) };
  }

  function money(written) {
    const found = /^(\d{1,12}(?:[.,]\d{1,2})?)\s*([A-Za-z]{3})?$/.exec(written);
    if (!found) throw new Fault(`“${written}” is not an amount of money. Write a number such as 54.90.`);
    if (found[2] && found[2].toUpperCase() !== facts.currency) {
      throw new Fault(`“${written}” is not in ${facts.currency}, the journal's currency. Convert it.`);
    }
    return { number: found[1].replace(",", ".") };
  }

  function fieldValue(kind, written) {
    if (kind === "text" || kind === "choice") return { text: written };
    if (kind === "count") return count(written);
    if (kind === "money") return money(written);
    return quantity(written, facts.kinds[kind]);
  }

  Object.assign(form, { facts, Fault, quantity, fieldValue });
})(window.journalWrite = window.journalWrite || {});
