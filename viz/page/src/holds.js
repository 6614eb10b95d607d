// holds
export const holds = { title: 'holds', async fill() {} };
