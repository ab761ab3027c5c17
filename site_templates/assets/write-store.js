/* What is kept on this device: words in the local storage, photos in a database. */
(function (form) {
  "use strict";

  const KEY = `journal-write:${location.pathname.replace(/index\.html$/, "")}`;

  let memory = null; // photos, where the browser gives no database (private windows)

  function database() {
    return new Promise((done, fail) => {
      const request = indexedDB.open(KEY, 1);
      request.onupgradeneeded = () => request.result.createObjectStore("photos");
      request.onsuccess = () => done(request.result);
      request.onerror = () => fail(request.error);
    });
  }

  async function photoStore(mode, act) {
    if (!memory) {
      try {
        const db = await database();
        return await new Promise((done, fail) => {
          const move = db.transaction("photos", mode);
          const request = act(move.objectStore("photos"));
          move.oncomplete = () => { db.close(); done(request.result); };
          move.onabort = () => { db.close(); fail(move.error); };
        });
      } catch (error) {
        if (error && error.name === "QuotaExceededError") throw error;
        memory = new Map();
      }
    }
    return act({
      put: (value, id) => ({ result: void memory.set(id, value) }),
      get: (id) => ({ result: memory.get(id) }),
      delete: (id) => ({ result: void memory.delete(id) }),
    }).result;
  }

  const putPhoto = (id, bytes) => photoStore("readwrite", (s) => s.put(bytes, id));
  const getPhoto = (id) => photoStore("readonly", (s) => s.get(id));
  const dropPhotos = (photos) =>
    Promise.all(photos.map((p) => photoStore("readwrite", (s) => s.delete(p.id))));

  function stored(part, fallback) {
    try { return JSON.parse(localStorage.getItem(`${KEY}:${part}`)) || fallback; } catch (error) { return fallback; }
  }

  /* Tells whether it was kept: private windows may refuse. */
  function store(part, value) {
    try {
      localStorage.setItem(`${KEY}:${part}`, JSON.stringify(value));
      return true;
    } catch (error) {
      return false;
    }
  }

  Object.assign(form, { putPhoto, getPhoto, dropPhotos, stored, store });
})(window.journalWrite = window.journalWrite || {});
