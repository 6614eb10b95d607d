// repairs
export const repairs = { title: 'repairs', async fill() {} };
