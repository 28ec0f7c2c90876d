/** Photos: redrawn on the phone, so that they are small and carry neither place nor camera. */

import { useEffect, useRef, useState } from "preact/hooks";
import type { Bytes } from "../book/bytes";
import { must } from "../book/must";
import { keepPhoto, photo, texts } from "./app";
import { Wrong } from "./fields";

const LONGEST_PX = 1600;
const MOST_BYTES = 900_000;
const QUALITIES = [0.82, 0.7, 0.5, 0.3];

/** The picture redrawn as JPEG; throws when it cannot be read or comes out blank. */
export async function madeAnew(file: Blob): Promise<Bytes> {
  const image = await createImageBitmap(file);
  const scale = Math.min(1, LONGEST_PX / Math.max(image.width, image.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(image.width * scale));
  canvas.height = Math.max(1, Math.round(image.height * scale));
  const pen = must(canvas.getContext("2d"));
  pen.drawImage(image, 0, 0, canvas.width, canvas.height);
  image.close();
  if (isBlank(pen, canvas)) throw new Error("blank");
  for (const quality of QUALITIES) {
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/jpeg", quality));
    if (blob && blob.size <= MOST_BYTES) return new Uint8Array(await blob.arrayBuffer());
  }
  throw new Error("too large");
}

/** A canvas that the browser could not fill is transparent all over. */
function isBlank(pen: CanvasRenderingContext2D, { width, height }: HTMLCanvasElement): boolean {
  const { data } = pen.getImageData(0, 0, width, height);
  for (let i = 3; i < data.length; i += 4) if (data[i] !== 0) return false;
  return true;
}

/** Take photos for an entry; `names` are those that are kept already. */
export function PhotoButton({
  book,
  names,
  onChange,
  wished = false,
}: {
  book: string;
  names: string[];
  onChange: (names: string[]) => void;
  wished?: boolean;
}) {
  const t = texts();
  const input = useRef<HTMLInputElement>(null);
  const [wrong, setWrong] = useState(false);
  async function take(file: File | undefined) {
    if (!file) return;
    setWrong(false);
    try {
      const name = await keepPhoto(book, await madeAnew(file));
      if (name !== null) onChange([...new Set([...names, name])]);
    } catch {
      setWrong(true);
    }
  }
  return (
    <div class="photos">
      <input
        ref={input}
        type="file"
        accept="image/*"
        capture="environment"
        hidden
        data-test="photo-file"
        aria-label={t("photo.take")}
        onChange={(event) => {
          void take(event.currentTarget.files?.[0]);
          event.currentTarget.value = "";
        }}
      />
      <button type="button" class="quiet" data-test="photo" onClick={() => input.current?.click()}>
        {names.length > 0 ? t("photo.more", { n: names.length }) : t(wished ? "photo.wished" : "photo.take")}
      </button>
      {wrong && <Wrong>{t("photo.wrong")}</Wrong>}
      <div class="thumbs">
        {names.map((name) => (
          <Photo key={name} book={book} name={name} />
        ))}
      </div>
    </div>
  );
}

/** One photo, from this phone or fetched when it is wanted. */
export function Photo({ book, name }: { book: string; name: string }) {
  const t = texts();
  const [url, setUrl] = useState<string | null>(null);
  useEffect(() => {
    let made: string | null = null;
    let gone = false;
    photo(book, name).then((bytes) => {
      if (bytes === null || gone) return;
      made = URL.createObjectURL(new Blob([bytes], { type: "image/jpeg" }));
      setUrl(made);
    });
    return () => {
      gone = true;
      if (made !== null) URL.revokeObjectURL(made);
    };
  }, [book, name]);
  return url ? <img src={url} alt={t("photo.alt")} /> : <span class="fine">{t("photo.elsewhere")}</span>;
}
