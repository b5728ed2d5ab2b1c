// The first page. A phone that scanned the code comes here with its token once; then it is let in.

const token = /#pair=([^&]+)/.exec(location.hash)?.[1];
if (token) {
  history.replaceState(null, "", "/");
  const says = document.getElementById("says")!;
  fetch("/api/1/pair", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ token: decodeURIComponent(token), name: /iPhone|iPad|Android/.exec(navigator.userAgent)?.[0] ?? "browser" }) })
    .then(async (answer) => {
      if (answer.ok) location.href = "/field.html";
      else says.textContent = ((await answer.json()) as { error?: { problem?: string } }).error?.problem ?? "The server did not let this phone in. Ask it for a new code.";
    })
    .catch(() => { says.textContent = "The server cannot be reached. Scan the code again in its network."; });
}
export {};
