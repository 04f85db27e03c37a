// The page's catalogue, for what scripts say.

export const words = JSON.parse(document.body.dataset.words);
