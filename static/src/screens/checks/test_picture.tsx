/** Test pictures for the wall: this screen's picture is fed to the processor, pixel for pixel from the top left. */

import { useEffect, useRef, useState } from "preact/hooks";
import { texts } from "../../ui/app";
import { Page } from "../../ui/parts";
import type { ChecksFile } from "../../walk/checks/checks";
import { PICTURES, type Picture, paint, pixelsOf } from "../../walk/checks/test_pictures";
import type { Show } from "../../walk/show/show";

export function TestPicture({ show, wall, file }: { show: Show; wall: string; file: ChecksFile }) {
  const t = texts();
  const { book } = show.membership;
  const [picture, setPicture] = useState<Picture | null>(null);
  const size = pixelsOf(file);
  if (size === null) {
    return (
      <Page book={book} title={t("test.title", { wall })} back={`#home/${book}`}>
        <p>{t("test.no_pixels")}</p>
      </Page>
    );
  }
  if (picture !== null) return <Whole file={file} picture={picture} onDone={() => setPicture(null)} />;
  return (
    <Page book={book} title={t("test.title", { wall })} back={`#home/${book}`}>
      <p class="notice">{t("test.flashing")}</p>
      <p>{t("test.how", { width: size.width, height: size.height })}</p>
      {PICTURES.map((key) => (
        <button
          type="button"
          class="main other"
          key={key}
          data-test={`picture-${key}`}
          onClick={() => setPicture(key)}
        >
          {t(`test.${key}`)}
        </button>
      ))}
    </Page>
  );
}

/** The picture alone, nothing else on the screen; a tap ends it. */
function Whole({ file, picture, onDone }: { file: ChecksFile; picture: Picture; onDone: () => void }) {
  const t = texts();
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const pen = canvas.current?.getContext("2d");
    if (pen) paint(pen, file, picture);
    void document.documentElement.requestFullscreen?.().catch(() => undefined);
    return () => {
      if (document.fullscreenElement) void document.exitFullscreen();
    };
  }, [picture]);
  const { width, height } = pixelsOf(file) ?? { width: 1, height: 1 };
  const ratio = devicePixelRatio;
  return (
    <button type="button" class="test_picture" aria-label={t("test.end")} onClick={onDone}>
      <canvas
        ref={canvas}
        width={width}
        height={height}
        style={{ width: `${width / ratio}px`, height: `${height / ratio}px` }}
      />
    </button>
  );
}
