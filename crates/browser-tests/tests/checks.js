// What a page must hold, seen from inside it. Each check gives a list of faults in words.
(() => {
  const short = (text) => text.trim().replace(/\s+/g, " ").slice(0, 60);
  const shown = (element) => element.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true, contentVisibilityAuto: true });

  // WCAG 2.x, "relative luminance" and "contrast ratio".
  const luminance = ([r, g, b]) => {
    const channel = (value) => {
      const c = value / 255;
      return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
    };
    return 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
  };
  const contrast = (a, b) => {
    const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x);
    return (high + 0.05) / (low + 0.05);
  };
  const colour = (text) => (text.match(/[\d.]+/g) || []).map(Number);
  const ground = (element) => {
    for (let at = element; at; at = at.parentElement) {
      const found = colour(getComputedStyle(at).backgroundColor);
      if (found.length === 3 || found[3] === 1) return found.slice(0, 3);
      if (found.length === 4 && found[3] !== 0) throw new Error(`a see-through ground at <${at.localName}>`);
    }
    return matchMedia("(prefers-color-scheme: dark)").matches && !matchMedia("print").matches ? [0, 0, 0] : [255, 255, 255];
  };

  window.checks = {
    // The page may not be wider than the window; nothing may stick out of it but what scrolls in a box of its own.
    overflow() {
      // A phone zooms out until all of it is seen, and innerWidth with it: the width of the layout stays.
      const wide = document.scrollingElement.scrollWidth;
      const room = document.documentElement.clientWidth;
      const faults = wide > room ? [`the page is ${wide} px wide in a window of ${room} px`] : [];
      if (faults.length) {
        for (const element of document.querySelectorAll("body *")) {
          const box = element.getBoundingClientRect();
          if (box.right > room + 1 && shown(element)) faults.push(`<${element.localName} class="${element.getAttribute("class")}"> ${short(element.textContent)}`);
          if (faults.length > 8) break;
        }
      }
      return faults;
    },
    // For paper: no box may hide what is in it.
    clipped() {
      return [...document.querySelectorAll("body *")]
        .filter((element) => !(element instanceof SVGElement) && shown(element))
        .filter((element) => element.scrollWidth > element.clientWidth + 1 && element.clientWidth > 0 && getComputedStyle(element).display !== "inline")
        .map((element) => `<${element.localName} class="${element.className}"> ${element.scrollWidth} > ${element.clientWidth}: ${short(element.textContent)}`);
    },
    anchors() {
      return [...document.querySelectorAll("a[href]")]
        .map((link) => link.getAttribute("href"))
        // What stands in the proof alone is looked up where both are at hand, by the tests of the crate that writes them.
        .filter((href) => !href.startsWith("proof/proof.html#"))
        .filter((href) => !href.startsWith("#") || !document.getElementById(href.slice(1)));
    },
    twice() {
      const ids = [...document.querySelectorAll("[id]")].map((element) => element.id);
      return ids.filter((id, at) => ids.indexOf(id) !== at);
    },
    // Opens every <details> as a click does, the outer ones first, and looks whether something appears.
    async details() {
      const faults = [];
      const frame = () => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
      const all = [...document.querySelectorAll("details")];
      const heading = (details) => details.querySelector(":scope > summary");
      for (const details of all) {
        if (!heading(details) || !short(heading(details).textContent)) faults.push("a <details> without words to click on");
      }
      for (let depth = 0; depth < 5; depth++) {
        const shut = all.filter((details) => !details.open && shown(details));
        if (shut.length === 0) break;
        for (const details of shut) {
          heading(details).click();
          if (!details.open) faults.push(`does not open: ${short(heading(details).textContent)}`);
        }
        await frame();
      }
      for (const details of all) {
        const inside = [...details.children].filter((child) => child !== heading(details));
        if (!details.open) faults.push(`was never seen: ${short(heading(details).textContent)}`);
        else if (!inside.some((child) => shown(child) && short(child.textContent))) faults.push(`opens on nothing: ${short(heading(details).textContent)}`);
      }
      return faults;
    },
    // WCAG 2.1, 1.4.3: 4.5 for text. Text in pictures is held to it by the tests of the crate that draws them.
    contrast(least = 500) {
      const faults = new Set();
      const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
      const known = new Map();
      let seen = 0;
      while (walker.nextNode()) {
        const element = walker.currentNode.parentElement;
        if (!walker.currentNode.data.trim() || element instanceof SVGElement || !shown(element)) continue;
        seen += 1;
        const text = colour(getComputedStyle(element).color).slice(0, 3);
        const below = ground(element);
        const key = `${text} on ${below}`;
        if (!known.has(key)) known.set(key, contrast(text, below));
        if (known.get(key) < 4.5) faults.add(`${key} is ${known.get(key).toFixed(2)}: ${short(walker.currentNode.data)}`);
      }
      if (seen < least) faults.add(`only ${seen} texts were seen`);
      return [...faults];
    },
    // Text as this browser's face sets it: inside its picture, and not on other text.
    pictures() {
      const faults = [];
      for (const svg of document.querySelectorAll("figure svg")) {
        if (!shown(svg)) continue;
        const frame = svg.getBoundingClientRect();
        const texts = [...svg.querySelectorAll("text")].map((text) => ({ words: short(text.textContent), box: text.getBoundingClientRect() }));
        for (const { words, box } of texts) {
          if (box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 1 || box.bottom > frame.bottom + 1) faults.push(`${svg.id}: "${words}" leaves the picture`);
        }
        // A line box is higher than its letters: a quarter of it above and below may overlap.
        const inner = ({ box }) => ({ left: box.left + 1, right: box.right - 1, top: box.top + box.height / 4, bottom: box.bottom - box.height / 4 });
        for (let i = 0; i < texts.length; i++) {
          for (let j = i + 1; j < texts.length; j++) {
            const [a, b] = [inner(texts[i]), inner(texts[j])];
            if (a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom) faults.push(`${svg.id}: "${texts[i].words}" lies on "${texts[j].words}"`);
          }
        }
      }
      return faults;
    },
    // What stands on paper: every working of what is no pass.
    opened() {
      const selectors = [".point .inside", "details.check > div", "details.row.is-note > .inside"];
      return selectors.flatMap((selector) =>
        [...document.querySelectorAll(selector)].filter((element) => !shown(element) || element.getBoundingClientRect().height === 0)
          .map((element) => `${selector} is shut: ${short(element.textContent)}`));
    },
  };
})();
