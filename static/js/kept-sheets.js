// Where the page is served over https, the last sheets stay readable while the book is out of reach (keeper.js).
const { keeper } = document.documentElement.dataset;

if (keeper && "serviceWorker" in navigator) {
  navigator.serviceWorker.register(keeper).catch(() => {
    // Then nothing is kept; everything else goes on.
  });
}
