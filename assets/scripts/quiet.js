// Bokeh says two lines to the console on every page that is well: that it keeps its log level, and
// that it has drawn. No setting turns them off. Everything else still comes through.
(() => {
  const routine = /^(\[bokeh [\d.]+\] )?(setting log level to|Bokeh items were rendered successfully)/;
  const log = console.log.bind(console);
  console.log = (...words) => {
    if (!routine.test(words.join(" "))) log(...words);
  };
})();
