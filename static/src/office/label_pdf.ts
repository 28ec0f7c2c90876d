/** Saves a label PDF while saying which page is being drawn; without scripts the link saves it as well. */

const link = document.querySelector<HTMLAnchorElement>("a[data-pages]");
const PAGE = "<</Type/Page/Parent";

/** Read the answer to its end; say each page that has come. */
async function read(answer: Response, said: (pages: number) => void): Promise<Blob> {
  const reader = answer.body?.getReader();
  const chunks: BlobPart[] = [];
  const decoder = new TextDecoder("latin1");
  let pages = 0;
  let rest = "";
  for (let part = await reader?.read(); part?.value !== undefined; part = await reader?.read()) {
    chunks.push(part.value);
    const text = rest + decoder.decode(part.value, { stream: true });
    const pieces = text.split(PAGE);
    pages += pieces.length - 1;
    rest = (pieces.at(-1) ?? "").slice(1 - PAGE.length);
    said(pages);
  }
  return new Blob(chunks, { type: "application/pdf" });
}

async function save(from: HTMLAnchorElement): Promise<void> {
  const bar = document.querySelector<HTMLProgressElement>("progress");
  const status = document.querySelector("[data-progress]");
  if (bar === null || status === null) return;
  bar.hidden = false;
  try {
    const answer = await fetch(from.href);
    if (!answer.ok) throw new Error(`status ${answer.status}`);
    const pdf = await read(answer, (pages) => {
      bar.value = pages;
      status.textContent = (from.dataset.working ?? "").replace("{page}", String(pages));
    });
    const saved = document.createElement("a");
    saved.href = URL.createObjectURL(pdf);
    saved.download =
      /filename="(.+)"/.exec(answer.headers.get("Content-Disposition") ?? "")?.[1] ?? "labels.pdf";
    saved.click();
    URL.revokeObjectURL(saved.href);
  } catch {
    status.textContent = from.dataset.broken ?? "";
  }
  bar.hidden = true;
}

link?.addEventListener("click", (event) => {
  event.preventDefault();
  void save(link);
});
