// caution
export const caution = { title: 'caution', async fill() {} };
