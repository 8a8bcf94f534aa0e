/**
 * The page's style sheet: one column, warm paper and slate ink, colours by meaning with a light and a dark form that
 * keep 3:1 against their ground, and a print form without fills that cost ink. No style attributes anywhere, so that the
 * content-security policy can name this one sheet by its hash.
 */
export const STYLE = `
:root{color-scheme:light dark;--paper:#fbf8f3;--card:#fff;--ink:#20262e;--soft:#5a6470;--rule:#ddd6ca;--new:#0b6e69;--old:#8a5a14;--limit:#a8281e;--warm:#b3541e;--cool:#2f5f9e;--plain:#4a5360;--a:#0b6e69;--b:#b3541e;--c:#2f5f9e;--d:#7a4b8f;--e:#6b7a1f;--f:#8c8578;--go:#1d6b3a;--look:#8a5a00;--stop:#a8281e}
@media (prefers-color-scheme:dark){:root{--paper:#15191e;--card:#1c2229;--ink:#e8e4dc;--soft:#a9b0b8;--rule:#39424c;--new:#4cc3b8;--old:#d9a441;--limit:#ff8474;--warm:#f0935a;--cool:#86b4ee;--plain:#b9c1ca;--a:#4cc3b8;--b:#f0935a;--c:#86b4ee;--d:#cf9fe6;--e:#bccb6a;--f:#a9a294;--go:#6fcf8f;--look:#e8b64c;--stop:#ff8474}}
*{box-sizing:border-box}
html{font:16px/1.55 system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans",sans-serif;background:var(--paper);color:var(--ink)}
body{margin:0 auto;max-width:60rem;padding:1.5rem 1.1rem 4rem}
h1{font-size:1.7rem;line-height:1.2;margin:.2rem 0 .8rem}
h2{font-size:1.25rem;margin:2.6rem 0 .6rem;padding-top:.6rem;border-top:1px solid var(--rule)}
h3{font-size:1.02rem;margin:1.6rem 0 .3rem}
p{margin:.5rem 0}
a{color:var(--cool)}
.skip{position:absolute;left:-99rem}.skip:focus{left:1rem;top:.5rem;background:var(--card);padding:.4rem .8rem}
.verdict{background:var(--card);border:1px solid var(--rule);border-left:.5rem solid var(--plain);border-radius:.4rem;padding:1rem 1.2rem}
.verdict.go{border-left-color:var(--go)}.verdict.caution{border-left-color:var(--look)}.verdict.stop{border-left-color:var(--stop)}
.verdict strong{font-size:1.2rem;display:block}
.verdict.go strong{color:var(--go)}.verdict.caution strong{color:var(--look)}.verdict.stop strong{color:var(--stop)}
.keys{display:grid;grid-template-columns:repeat(auto-fit,minmax(15rem,1fr));gap:.8rem;margin:1rem 0;padding:0;list-style:none}
.keys li{background:var(--card);border:1px solid var(--rule);border-radius:.4rem;padding:.8rem 1rem}
.keys b{display:block;font-size:1.9rem;line-height:1.2;font-variant-numeric:tabular-nums}
.keys span{color:var(--soft);display:block;font-size:.9rem}
.found{padding-left:1.2rem}.found li{margin:.35rem 0}
.tag{font-weight:600}.tag.danger{color:var(--stop)}.tag.caution{color:var(--look)}.tag.note{color:var(--soft)}
.cautions{background:var(--card);border:2px solid var(--look);border-radius:.4rem;padding:.2rem 1.2rem .8rem}
.cautions h2{border:0;margin:.4rem 0 .2rem;padding:0}
.cautions ul{margin:.2rem 0;padding-left:1.1rem}
figure{margin:1.2rem 0;background:var(--card);border:1px solid var(--rule);border-radius:.4rem;padding:.8rem 1rem}
figure h3{margin-top:.3rem}figcaption{margin-top:.4rem}
.scroll{overflow-x:auto}
.scroll:focus-visible,button:focus-visible,summary:focus-visible,a:focus-visible{outline:3px solid var(--cool);outline-offset:2px}
svg{display:block;width:100%;min-width:30rem;max-width:46rem;margin-inline:auto;height:auto;font:14px system-ui,-apple-system,"Segoe UI",Roboto,sans-serif}
svg text{fill:var(--ink)}svg .grid line{stroke:var(--rule);stroke-width:1}svg .grid text{fill:var(--soft);font-size:13px}svg .axis{fill:var(--soft)}
.line{fill:none;stroke-width:2.2;stroke-linejoin:round}.dashed{stroke-dasharray:7 5}
.band{stroke:none;opacity:.22}.layer{stroke:var(--card);stroke-width:.8}
.mark line{stroke-width:1.6;stroke-dasharray:3 4}.mark text{font-size:13px}
.mark text,.value,svg .name{paint-order:stroke;stroke:var(--card);stroke-width:4px;stroke-linejoin:round}.mark .lead{stroke-width:1;stroke-dasharray:none}
.ranges line{stroke-width:2}.bar{opacity:.9}.whisker line{stroke:var(--ink);stroke-width:1.6}.zero line{stroke:var(--soft);stroke-width:1.2}
${["new", "old", "limit", "warm", "cool", "plain", "a", "b", "c", "d", "e", "f"]
  .map(
    (tone) =>
      `.line.${tone},.ranges.${tone} line,.mark.${tone} line{stroke:var(--${tone})}.band.${tone},.layer.${tone},.bar.${tone},.dots.${tone} circle,.ranges.${tone} circle{fill:var(--${tone})}.mark.${tone} text{fill:var(--${tone})}`,
  )
  .join("")}
.legend{display:flex;flex-wrap:wrap;gap:.2rem 1.2rem;margin:.2rem 0 0;padding:0;list-style:none;font-size:.92rem}
.legend svg{display:inline-block;width:1.4rem;min-width:0;height:.7rem;margin-right:.35rem;vertical-align:baseline}
details{margin-top:.5rem}summary{cursor:pointer;color:var(--soft)}
table{border-collapse:collapse;font-variant-numeric:tabular-nums;font-size:.92rem;margin:.5rem 0}
caption{text-align:left;color:var(--soft)}
th,td{padding:.2rem .7rem .2rem 0;text-align:right;vertical-align:top;border-bottom:1px solid var(--rule)}
th:first-child,td:first-child{text-align:left}
td.text,th.text{text-align:left;white-space:normal}
th{font-weight:600;white-space:nowrap}
button{font:inherit;font-size:.8rem;color:var(--ink);background:var(--paper);border:1px solid var(--soft);border-radius:.3rem;padding:.1rem .45rem;cursor:pointer;margin-left:.3rem}
footer{margin-top:3rem;color:var(--soft);font-size:.9rem}
nav ul{display:flex;flex-wrap:wrap;gap:.2rem 1.2rem;list-style:none;padding:0;margin:.6rem 0}
@media (max-width:34rem){body{padding:.8rem .7rem 3rem}h1{font-size:1.35rem}figure{padding:.6rem .5rem}.keys b{font-size:1.6rem}svg{min-width:0;font-size:18px}svg .grid text,.mark text{font-size:17px}}
@media print{:root{--paper:#fff;--card:#fff;--ink:#000;--soft:#333;--rule:#bbb}html{font-size:10.5pt}body{max-width:none;padding:0}button,nav,.skip{display:none}figure,.verdict,.keys li,.cautions{break-inside:avoid}details{display:block}.scroll{overflow:visible}svg{min-width:0;max-height:9cm}h2,h3{break-after:avoid}table{font-size:8.5pt}th{white-space:normal;vertical-align:bottom}th,td{padding-right:.45rem;overflow-wrap:anywhere}tr{break-inside:avoid}}
`.trim();
