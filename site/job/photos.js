// Photographs: made smaller where they are large, and kept by the browser until the job is deleted from the device.

// The longer side, in pixels, and the most bytes.
const MOST_PIXELS = 2000;
export const MOST_BYTES = 20e6;
const STORE = "photos";

// A picture that needs no more room than it is worth. What the browser cannot draw stays as it is.
export const shrunk = async (picture) => {
  try {
    const bitmap = await createImageBitmap(picture, { imageOrientation: "from-image" });
    const { width, height } = bitmap;
    const scale = MOST_PIXELS / Math.max(width, height);
    if (scale >= 1) return picture;
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(width * scale);
    canvas.height = Math.round(height * scale);
    canvas.getContext("2d").drawImage(bitmap, 0, 0, canvas.width, canvas.height);
    return await new Promise((done) => canvas.toBlob((blob) => done(blob ?? picture), "image/jpeg", 0.85));
  } catch {
    return picture;
  }
};

// Keeps pictures (buffers) by their SHA-256: in this page, and where the browser has a database there too.
export const openPhotos = () => {
  const own = new Map();
  let opened = null;
  const database = () =>
    (opened ??= new Promise((done) => {
      try {
        const asked = indexedDB.open("fitwright", 1);
        asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
        asked.onsuccess = () => done(asked.result);
        asked.onerror = asked.onblocked = () => done(null);
      } catch {
        done(null);
      }
    }));
  // The result of a request, or null where there is no database or it fails.
  const ask = async (mode, does) => {
    const base = await database();
    return (
      base &&
      new Promise((done) => {
        try {
          const all = base.transaction(STORE, mode);
          const asked = does(all.objectStore(STORE));
          all.oncomplete = () => done(asked.result ?? null);
          all.onerror = all.onabort = () => done(null);
        } catch {
          done(null);
        }
      })
    );
  };
  return {
    // Whether it will be there after the page was closed.
    async keep(digest, buffer) {
      own.set(digest, buffer);
      return (await ask("readwrite", (store) => store.put(buffer, digest))) !== null;
    },
    find: async (digest) => own.get(digest) ?? ask("readonly", (store) => store.get(digest)),
    async drop(digests) {
      for (const digest of digests) {
        own.delete(digest);
        await ask("readwrite", (store) => store.delete(digest));
      }
    },
  };
};

// The photographs that events name, those that are at hand by their file names; and how many are not.
export const gathered = async (photos, events) => {
  const all = new Map();
  let lost = 0;
  for (const { file, sha256 } of events.filter((event) => event.type === "photo")) {
    const buffer = await photos.find(sha256);
    if (buffer) all.set(file, new Uint8Array(buffer));
    else lost++;
  }
  return { all, lost };
};
