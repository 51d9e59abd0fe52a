// Decimals as the reader's own browser writes them. The file of readings keeps points.
const decimal = (1.5).toLocaleString().charAt(1) === "," ? "," : ".";
// A number of a heading such as 1.2.3 is none.
const local = (words) => (decimal === "." ? words : words.replace(/(^|[^\d.])(\d[\d\u202f]*)\.(\d+)(?![\d.])/g, "$1$2,$3"));

// What stands on the page from the beginning, in its words and drawings.
function localWords(within) {
  if (decimal === ".") return;
  const walker = document.createTreeWalker(within, NodeFilter.SHOW_TEXT, null, false);
  while (walker.nextNode()) {
    const node = walker.currentNode;
    if (!/^(code|script|style|textarea)$/i.test(node.parentNode.nodeName)) node.nodeValue = local(node.nodeValue);
  }
}
