/** What is felt and heard when something was read; seen it is always. iOS has no vibration, sound needs a tap. */

let sound: AudioContext | null = null;

/** Call it from a tap, so that sounds are allowed later. */
export function allowSound(): void {
  sound ??= typeof AudioContext === "undefined" ? null : new AudioContext();
  void sound?.resume();
}

/** Short and high for good, long and low for not. */
export function signal(good: boolean): void {
  navigator.vibrate?.(good ? 60 : [60, 80, 60, 80, 60]);
  if (sound?.state !== "running") return;
  const tone = sound.createOscillator();
  const loudness = sound.createGain();
  tone.frequency.value = good ? 880 : 220;
  loudness.gain.value = 0.2;
  tone.connect(loudness).connect(sound.destination);
  tone.start();
  tone.stop(sound.currentTime + (good ? 0.12 : 0.4));
}
