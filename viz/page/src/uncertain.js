// uncertain
export const uncertain = { title: 'uncertain', async fill() {} };
