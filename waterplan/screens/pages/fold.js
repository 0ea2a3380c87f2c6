// On a phone the list of pages lies over the page: a choice folds it, and it is folded wherever a page is opened anew.
if (matchMedia("(max-width: 768px)").matches) {
  document.addEventListener("click", ({ target }) => {
    if (target.closest("[data-testid=stSidebar] a")) document.querySelector("[data-testid=stSidebarCollapseButton] button")?.click();
  });
  Object.keys(localStorage).filter(key => key.startsWith("stSidebarCollapsed")).forEach(key => localStorage.removeItem(key));
}
