// asked
export const asked = { title: 'asked', async fill() {} };
