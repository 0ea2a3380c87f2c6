"""How what is seen of a page is written."""

# How large and how heavy what is seen of a page is written, drawings and signs apart, beside what is written so.
LETTERS = """() => { const seen = {}, all = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (all.nextNode()) { const e = all.currentNode.parentElement;
    if (all.currentNode.data.trim() && e.checkVisibility()
        && !e.closest('svg, style, script, noscript, [data-testid=stIconMaterial]')) {
      const { fontSize, fontWeight, fontFamily } = getComputedStyle(e);
      seen[[fontSize, fontWeight, fontFamily]] = all.currentNode.data.trim().slice(0, 40); } }
  return seen; }"""
