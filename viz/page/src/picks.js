// What the page shows first out of many rows, chosen one way in every section.

export const unique = (values) => [...new Set(values)];
export const nearest = (values, wanted) => values.reduce((a, b) => (Math.abs(b - wanted) < Math.abs(a - wanted) ? b : a), values[0]);

/** The activity that is told in words: a walk when there is one. */
export const mainActivity = (facts) => (facts.activities.includes('walk') ? 'walk' : facts.activities[0]);

/** The instant nearest to mid-stance. */
export const middleInstant = (rows) => nearest(unique(rows.map((r) => r.stance_percent)).filter((v) => v !== null), 50);

/** Of several plateau angles the one nearest to 6 degrees, the usual aim of a levelling. */
export const usualSlope = (slopes) => nearest(slopes, 6);

export const least = (rows) => rows.reduce((best, r) => (r.margin !== null && (best === null || r.margin < best.margin) ? r : best), null);
export const slopeOf = (row) => row.plateau_angle_target_deg ?? row.plateau_angle_deg;

/** Activities whose forces are above what the muscle is taken to bear: what follows from them is an upper bound. */
export const beyondMuscle = (rows) => new Set(rows.filter((r) => r.beyond_muscle_cap === true).map((r) => r.activity));

export const stanceRows = async (results) => (await results.table('joint.csv')).filter((r) => r.load_set === 'stance');
