// versions
export const versions = { title: 'versions', async fill() {} };
