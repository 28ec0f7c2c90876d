/** Keeps the build sheet beside a plan's form true: the server works it out again when the form rests. */

const REST_MS = 400;
const form = document.querySelector<HTMLFormElement>("form[data-live-sheet]");
let resting: number | undefined;
let asked: AbortController | undefined;

/** Ask for the page as the button without scripts would, and take its sheet; a newer question ends this one. */
async function workOut(live: HTMLFormElement): Promise<void> {
  asked?.abort();
  asked = new AbortController();
  const { signal } = asked;
  const body = new FormData(live);
  body.set("sheet_only", "yes");
  try {
    const answer = await fetch(location.href, { method: "POST", body, signal });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.querySelector("#sheet");
    if (fresh === null) throw new Error(`no sheet in the answer, status ${answer.status}`);
    document.querySelector("#sheet")?.replaceWith(fresh);
  } catch {
    if (!signal.aborted) document.querySelector("[data-no-answer]")?.removeAttribute("hidden");
  }
}

form?.addEventListener("input", () => {
  clearTimeout(resting);
  resting = window.setTimeout(() => void workOut(form), REST_MS);
});

export {};
