// Says on the page that a passkey could not be used; without this the person would see nothing.
document.addEventListener("allauth.error", (event) => {
  event.preventDefault();
  const trouble = document.getElementById("passkey-trouble");
  if (trouble) trouble.hidden = false;
});
