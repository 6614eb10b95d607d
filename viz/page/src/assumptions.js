// assumptions
export const assumptions = { title: 'assumptions', async fill() {} };
