// While a view moves slowly for want of a graphics card, what is given up: triangles first, then pixels. At rest everything is drawn.
const slow = 34; // ms a frame
const restAfter = 250; // ms without a move
const coarsest = 0.5; // pixels drawn for one shown, each way
const counted = 6; // frames; slow when most of them are, so that a pause of the hand does not count

export class Pace {
  moving = false;
  coarse = false;
  ratio = 1;
  #moves = 0;
  #timer = 0;
  #before = 0;
  #times = [];

  /** changed(): moving, coarse or ratio is another. */
  constructor(changed) {
    this.changed = changed;
  }
  moved() {
    const now = ++this.#moves;
    if (!this.moving) {
      this.moving = true;
      this.#before = 0;
      this.changed();
    }
    clearTimeout(this.#timer);
    // A frame may take longer than the timer: what is asked for meanwhile comes with the frames after it.
    this.#timer = setTimeout(() => requestAnimationFrame(() => requestAnimationFrame(() => this.#rest(now))), restAfter);
  }
  #rest(moves) {
    if (moves !== this.#moves) return;
    this.moving = false;
    this.changed();
  }
  /** To be told of every frame, with its time in ms. */
  frame(now) {
    if (this.moving && this.#before) this.#times.push(now - this.#before);
    this.#before = now;
    const late = this.#times.filter((t) => t > slow).length;
    if (late > counted / 2) {
      if (this.coarse) this.ratio = Math.max(coarsest, 0.8 * this.ratio);
      this.coarse = true;
      this.#times = [];
      this.changed();
    } else if (this.#times.length >= counted) this.#times = [];
  }
}
