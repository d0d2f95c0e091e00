// Keys and dragging. `stage` offers play(), step(), turn(), home() and the view.

const TURN_BY_KEY = 5; // degrees
const TURN_BY_DRAG = 0.4; // degrees a pixel
const STARTS_DRAG = 4; // pixels

/** Listen to the keys of the whole stage; arrows and Home only where the picture has the focus. */
export function listenToKeys(root, picture, stage) {
  root.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const onPicture = event.target === picture;
    const turn = (right, down) => () => {
      if (!onPicture) return false;
      const { yaw, pitch } = stage.view;
      return stage.turn(yaw + right * TURN_BY_KEY, pitch + down * TURN_BY_KEY, true);
    };
    const act = {
      " ": () => !event.target.closest("button, input") && stage.play(!stage.playing, true),
      ",": () => stage.step(-1),
      ".": () => stage.step(1),
      ArrowLeft: turn(-1, 0),
      ArrowRight: turn(1, 0),
      ArrowUp: turn(0, -1),
      ArrowDown: turn(0, 1),
      Home: () => onPicture && stage.chooseCamera("free"),
    }[event.key];
    if (act && act() !== false) event.preventDefault();
  });
}

/** Turn by dragging; a finger that moves up or down scrolls the page instead (CSS: pan-y). */
export function listenToDrag(picture, stage) {
  let start = null;
  picture.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    start = { x: event.clientX, y: event.clientY, yaw: stage.view.yaw, pitch: stage.view.pitch, moved: false };
    picture.setPointerCapture(event.pointerId);
  });
  picture.addEventListener("pointermove", (event) => {
    if (!start) return;
    const right = event.clientX - start.x;
    const down = event.clientY - start.y;
    if (!start.moved && Math.hypot(right, down) < STARTS_DRAG) return;
    start.moved = true;
    stage.turn(start.yaw + right * TURN_BY_DRAG, start.pitch + down * TURN_BY_DRAG, false);
  });
  const stop = () => {
    if (start && start.moved) stage.turn(stage.view.yaw, stage.view.pitch, true);
    start = null;
  };
  picture.addEventListener("pointerup", stop);
  picture.addEventListener("pointercancel", stop);
}
