// levelling
export const levelling = { title: 'levelling', async fill() {} };
