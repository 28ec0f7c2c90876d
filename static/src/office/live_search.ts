/** Answers a search while somebody types; the address follows, so that what was found can be kept and edited. */

const REST_MS = 150;
const form = document.querySelector<HTMLFormElement>("form[data-live-search]");
const found = document.querySelector("[data-found]");
let resting: number | undefined;
let asked: AbortController | undefined;

/** The fields of a form as a query string; it has no files. */
function queryOf(live: HTMLFormElement): string {
  const query = new URLSearchParams();
  for (const [name, value] of new FormData(live)) if (typeof value === "string") query.append(name, value);
  return query.toString();
}

/** Take what the server finds now; a newer question ends this one. */
async function find(live: HTMLFormElement, into: Element): Promise<void> {
  asked?.abort();
  asked = new AbortController();
  const { signal } = asked;
  const query = queryOf(live);
  try {
    const answer = await fetch(`${live.dataset.liveSearch}?${query}`, { signal });
    if (!answer.ok) throw new Error(`status ${answer.status}`);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    into.replaceChildren(...page.body.childNodes);
    history.replaceState(null, "", `?${query}`);
    for (const later of document.querySelectorAll<HTMLFormElement>('form[method="post"][action*="?"]')) {
      later.action = `${later.action.split("?")[0]}?${query}`;
    }
  } catch {
    if (!signal.aborted) live.submit();
  }
}

form?.addEventListener("input", () => {
  clearTimeout(resting);
  if (found !== null) resting = window.setTimeout(() => void find(form, found), REST_MS);
});

export {};
