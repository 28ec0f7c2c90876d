/** An edition of the procedures as a screen uses it: its steps, and their texts in one language. */

import type { EditionFile, Procedure, Step } from "./procedures";

/** One edition in one language; an entry names it by its hash. */
export class Edition {
  constructor(
    readonly hash: string,
    private readonly file: EditionFile,
    private readonly language: string,
  ) {}

  in(language: string): Edition {
    return new Edition(this.hash, this.file, language);
  }

  procedure(key: string): Procedure | null {
    return this.file.procedures[key] ?? null;
  }

  /** Procedures that are acts of their own at such a thing. */
  actsAt(at: Procedure["at"]): Procedure[] {
    return Object.values(this.file.procedures).filter((procedure) => procedure.at === at);
  }

  title(procedure: string): string {
    return this.text(`${procedure}.title`);
  }

  step(procedure: string, step: Step): string {
    return this.text(`${procedure}.steps.${step.key}`);
  }

  caution(key: string): string {
    return this.text(`cautions.${key}`);
  }

  choice(when: string): string {
    return this.text(`branches.${when}`);
  }

  reason(key: string): string {
    return this.text(`reasons.${key}`);
  }

  input(name: string): string {
    return this.text(`inputs.${name}`);
  }

  /** English where a language lacks a text; a text that nobody has is shown as its key, never as nothing. */
  private text(key: string): string {
    const { texts } = this.file;
    if (this.language === "pseudo") return `⟦${texts.en?.[key] ?? key}⟧`;
    return texts[this.language]?.[key] ?? texts.en?.[key] ?? key;
  }
}
