"""What a page must keep to, seen in a browser."""

from axe_playwright_python.sync_playwright import Axe

RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "resultTypes": ["violations"],  # what is kept to is not listed part by part, which takes longest
}

# Everything that reaches beyond the window, unless it stands in a region that scrolls by itself.
BEYOND = """() => {
  const width = document.documentElement.clientWidth;
  const found = document.documentElement.scrollWidth > width ? ["the page itself"] : [];
  for (const part of document.querySelectorAll("header *, main *, footer *")) {
    const box = part.getBoundingClientRect();
    const scrolls = part.closest(".region, .tabs, .desk .head-nav, pre, svg, .visually-hidden");
    if (!scrolls && box.width > 1 && box.right > width + 1) found.push(part.outerHTML.slice(0, 80));
  }
  return found;
}"""

# Controls of the desk are at least 24 px high and wide (WCAG 2.2, 2.5.8), links within a sentence apart.
SMALL = """(least) => [...document.querySelectorAll("button, input, select, textarea, .head-nav a")]
  .filter(part => part.offsetParent && !part.closest(".visually-hidden, .form-check"))
  .map(part => [part.outerHTML.slice(0, 80), part.getBoundingClientRect()])
  .filter(([, box]) => box.height < least - 0.5 || box.width < 24)
  .map(([name]) => name)"""


BROKEN = "rules => axe.run(rules).then(told => told.violations)"


def problems(page, *, least_height=24):
    """List what a page breaks: rules of accessibility, the width of the window, the size of targets."""
    if not page.evaluate("'axe' in window"):
        checker = Axe().axe_script
        page.evaluate(checker)
        page.add_init_script(checker)  # later pages of this window have it without its being sent again
    found = [
        f"{broken['id']}: {broken['help']} {[node['target'] for node in broken['nodes']][:3]}"
        for broken in page.evaluate(BROKEN, RULES)
    ]
    found += [f"beyond the window: {part}" for part in page.evaluate(BEYOND)]
    found += [f"too small: {part}" for part in page.evaluate(SMALL, least_height)]
    return found
