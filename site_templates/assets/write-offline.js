/* The form opens without a network once it has been open: its worker is told what it needs. */
(function (form) {
  "use strict";

  async function offline(root) {
    if (!("serviceWorker" in navigator) || !location.protocol.startsWith("http")) return;
    const shown = root.parentElement.querySelector("[data-offline]");
    const hand = () => navigator.serviceWorker.ready.then((found) => found.active.postMessage({ keep: addresses() }));
    navigator.serviceWorker.addEventListener("message", (event) => {
      if (event.data === "kept") shown.textContent = "This page opens without a network, too.";
    });
    navigator.serviceWorker.addEventListener("controllerchange", hand);
    try {
      await navigator.serviceWorker.register(root.dataset.src, { scope: location.pathname.replace(/index\.html$/, "") });
      if (document.readyState !== "complete") await new Promise((done) => addEventListener("load", done, { once: true }));
      await hand();
    } catch (error) {
      shown.textContent = "";
    }
  }

  function addresses() {
    const named = [...document.querySelectorAll("link[rel=stylesheet], link[rel=icon], script[src], img[src]")].map((one) => one.href || one.src);
    const asked = performance.getEntriesByType("resource").filter((one) => ["script", "link", "css", "img"].includes(one.initiatorType)).map((one) => one.name);
    return [...new Set([...named, ...asked])].filter((address) => address.startsWith(location.origin));
  }

  Object.assign(form, { offline });
})(window.journalWrite = window.journalWrite || {});
