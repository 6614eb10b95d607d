// The computed slopes of joint.csv and joint_pose.csv by repair, ligament, activity and instant: what the live picture walks through.
import { drawnForces } from './joint_picture.js';
import { mainActivity, middleInstant, unique } from './picks.js';

const key = (row) => [row.repair, row.ligament, row.activity, row.stance_percent, row.plateau_angle_target_deg].join('|');

export class Sweep {
  #rows = new Map();
  #points = new Map();

  /** rows and pose of the load set `stance`; the first state is the torn dog, unoperated, at its own slope. */
  constructor(rows, pose, facts) {
    this.rows = rows;
    this.activities = facts.activities;
    for (const row of rows) this.#rows.set(key(row), row);
    for (const point of pose) {
      const k = key(point);
      if (!this.#points.has(k)) this.#points.set(k, {});
      this.#points.get(k)[point.point] = point;
    }
    this.middle = middleInstant(rows);
    const has = (name, value) => rows.some((r) => r[name] === value);
    this.state = { repair: has('repair', 'none') ? 'none' : rows[0].repair, ligament: has('ligament', 'torn') ? 'torn' : 'intact', activity: mainActivity(facts), slope: facts.plateau_angle_deg };
  }
  row(changes = {}) {
    const { repair, ligament, activity, slope } = { ...this.state, ...changes };
    return this.#rows.get(key({ repair, ligament, activity, stance_percent: this.middle, plateau_angle_target_deg: slope }));
  }
  points(row) {
    return this.#points.get(key(row));
  }
  slopes() {
    return unique(this.rows.filter((r) => r.repair === this.state.repair).map((r) => r.plateau_angle_target_deg)).sort((a, b) => b - a);
  }
  /** The largest arrow, N, over all slopes, repairs and ligaments of the activity chosen: they share a scale. */
  largest() {
    const { activity } = this.state, rows = this.rows.filter((r) => r.activity === activity && r.stance_percent === this.middle && r.converged !== false);
    return Math.max(1, ...rows.flatMap((r) => [Math.abs(r.thrust_n), ...drawnForces(this.points(r) ?? {}).map((f) => Math.hypot(...f.force))]));
  }
  /** Thrust against slope, a curve for each activity, at the instant of the picture; bands where dogs were sampled. */
  curves() {
    const slopes = [...this.slopes()].reverse();
    const along = (activity, name) => slopes.map((slope) => {
      const row = this.row({ activity, slope });
      return row && row.converged !== false ? row[name] : null;
    });
    return { x: slopes, curves: this.activities.map((activity) => {
      const low = along(activity, 'thrust_low_n'), high = along(activity, 'thrust_high_n');
      return { label: `${activity.replaceAll('_', ' ')}, N`, short: activity.length <= 7 ? activity : null, y: along(activity, 'thrust_n'), ...(low.some((v) => v !== null) ? { low, high } : {}) };
    }) };
  }
}
