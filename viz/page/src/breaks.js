// breaks
export const breaks = { title: 'breaks', async fill() {} };
