// Writes kept on this device, for one person: a table of IndexedDB, which plain http has too. Without it they live as long
// as the window.

/** Whose they are: another person on this device never sends them. */
export const me = document.querySelector("[data-me]")?.dataset.me ?? "";

const store = openStore();

function openStore() {
  return new Promise((resolve) => {
    if (!me || !window.indexedDB) {
      resolve(null);
      return;
    }
    const request = indexedDB.open("stillair", 1);
    request.onupgradeneeded = () => request.result.createObjectStore("written", { keyPath: "op_id" });
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => resolve(null);
    request.onblocked = () => resolve(null);
  });
}

async function transact(mode, work) {
  const db = await store;
  if (!db) return null;
  return new Promise((resolve) => {
    const transaction = db.transaction("written", mode);
    const request = work(transaction.objectStore("written"));
    transaction.oncomplete = () => resolve(request.result);
    transaction.onabort = () => resolve(null);
    transaction.onerror = () => resolve(null);
  });
}

export const keep = (one) => transact("readwrite", (table) => table.put(one));
export const drop = (one) => transact("readwrite", (table) => table.delete(one.op_id));

/** Everything kept of this hand, in no order. */
export async function found() {
  const all = (await transact("readonly", (table) => table.getAll())) ?? [];
  return all.filter((one) => one.me === me);
}
