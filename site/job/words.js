// The words of ours on the page: groups by their names, the page's own without one. They come as data beside the checklist, from
// the one catalogue of all outputs. Words of the procedure never pass through here.

// Where no page is, as in tests of a module alone, there are no words.
const { page, ...shared } = JSON.parse(globalThis.document?.getElementById("labels")?.textContent ?? "{}");

export default { ...shared, ...page };
