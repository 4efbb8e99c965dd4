// Boxes that wait on this device, each under its name after a prefix. A browser that keeps nothing,
// or is full, still has this page: what it would not take is in memory, and newer than what it may
// have taken before.
export function deviceStore(prefix) {
  const memory = new Map();
  return {
    read(name) {
      if (memory.has(name)) return memory.get(name);
      try {
        return JSON.parse(localStorage.getItem(prefix + name));
      } catch {
        return null; // forbidden here, or a text that is not ours
      }
    },
    // Null takes the box away.
    write(name, box) {
      memory.delete(name);
      try {
        if (box === null) localStorage.removeItem(prefix + name);
        else localStorage.setItem(prefix + name, JSON.stringify(box));
      } catch {
        if (box !== null) memory.set(name, box);
      }
    },
    names() {
      const found = new Set(memory.keys());
      try {
        for (const name of Object.keys(localStorage)) {
          if (name.startsWith(prefix)) found.add(name.slice(prefix.length));
        }
      } catch {
        // Forbidden here: then all there is lies in memory.
      }
      return [...found];
    },
  };
}

export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return btoa(String.fromCharCode(...bytes)).replace(/\+/g, "-").replace(/\//g, "_").slice(0, 22);
}
