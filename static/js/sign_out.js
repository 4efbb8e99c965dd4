// Signing out leaves nothing of what was typed on a shared device.
document.addEventListener("submit", (event) => {
  if (!event.target.matches('form[action$="/account/logout/"]')) return;
  const kept = Object.keys(localStorage).filter((name) => name.startsWith("blockwork-draft:"));
  for (const name of kept) localStorage.removeItem(name);
});
