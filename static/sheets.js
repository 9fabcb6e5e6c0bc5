// The browser's own dialog prints, or saves as PDF.
document.getElementById("print").addEventListener("click", () => window.print());
