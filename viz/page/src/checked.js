// checked
export const checked = { title: 'checked', async fill() {} };
