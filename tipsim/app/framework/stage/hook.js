// For tests: set the clock, and read the numbers of the last paint. They come from the drawing
// itself, so a check of them is a check of what is seen.

import { DEGREE } from "./camera.js";
import { reportMarks } from "./markers.js";

/** The object at `element.tipsim`. */
export function makeHook(stage) {
  return {
    /** Stop at a phase of needle A, any change of view finished, and paint at once. */
    setPhase(degrees) {
      stage.play(false);
      stage.phase = degrees * DEGREE;
      stage.controls.showPhase(stage.phaseDegrees(), false);
      stage.paintNow();
    },
    play: () => stage.play(true),
    pause: () => stage.play(false),
    drawn: () => ({
      phase_deg: stage.phase / DEGREE,
      playing: stage.playing,
      frames: stage.frames,
      sides: stage.painter.marks.map((marks, i) => ({
        key: stage.sides[i].key,
        phase_deg: marks.phase / DEGREE,
        markers: reportMarks(marks),
      })),
    }),
    /** px = origin + px_per_mm * (row 0 of projection . mm), and down by row 1. */
    scale: () => ({
      px_per_mm: stage.painter.eyes[0].scale,
      exaggeration: stage.view.exaggeration,
      projection: Array.from(stage.painter.eyes[0].m),
      origins_px: stage.painter.eyes.map(({ ox, oy }) => [ox, oy]),
      words: stage.readout.textContent,
    }),
  };
}
