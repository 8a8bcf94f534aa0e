/**
 * The page's style sheet. Colours have one meaning each on the whole page, with a light and a dark form that keep 4.5:1 for text;
 * pictures are drawn for the column or for a phone and shown at the size they were drawn for. Print shows the sheet for the car
 * where there is one. No style attributes anywhere, so that the content-security policy can name this one sheet by its hash.
 */
const TONES = ["new", "old", "limit", "warm", "cool", "plain", "a", "b", "c", "d", "e", "f"];

export const STYLE = `
:root{color-scheme:light dark;--ground:#fcfbf8;--ink:#1d2429;--mid:#566068;--faint:#e3dfd6;--fill:#f3f0e8;--new:#0d5c63;--old:#825f33;--limit:#a12d22;--warm:#a84a17;--cool:#2b5d8c;--plain:#4a535b;--a:#0d5c63;--b:#a84a17;--c:#2b5d8c;--d:#73468a;--e:#66741a;--f:#85796a;--ready:#0d5c63;--decide:#825500;--stop:#a12d22}
@media (prefers-color-scheme:dark){:root{--ground:#14181b;--ink:#e9e6df;--mid:#a7afb5;--faint:#2e363b;--fill:#1d2428;--new:#62c7c4;--old:#d3ab74;--limit:#f08a7c;--warm:#f0935a;--cool:#8fbce8;--plain:#b9c1ca;--a:#62c7c4;--b:#f0935a;--c:#8fbce8;--d:#cf9fe6;--e:#bccb6a;--f:#b3a896;--ready:#62c7c4;--decide:#e8b64c;--stop:#f08a7c}}
*{box-sizing:border-box}
html{font:15px/1.5 system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans",sans-serif;background:var(--ground);color:var(--ink)}
body{margin:0 auto;max-width:1216px;padding:26px 30px 48px}
h1{font-size:25px;line-height:1.2;font-weight:600;margin:0 0 10px;letter-spacing:-.01em}
h2{font-size:18px;font-weight:600;margin:38px 0 8px;padding-top:12px;border-top:1px solid var(--ink)}
h3,h2.minor{font-size:14px;font-weight:600;margin:0 0 2px;padding:0;border:0}
p{margin:6px 0;max-width:76ch}
a{color:var(--cool)}
.skip{position:absolute;left:-99rem}.skip:focus{left:1rem;top:.5rem;background:var(--fill);padding:.4rem .8rem}
.unseen{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.state{font-size:16px;margin:0 0 18px;max-width:84ch}
.tag{font-weight:600;color:var(--mid)}.tag.ready{color:var(--ready)}.tag.decide{color:var(--decide)}.tag.stop{color:var(--stop)}.tag.told{color:var(--new)}
.main{display:grid;grid-template-columns:minmax(0,470px) minmax(0,1fr);gap:0 40px;align-items:start}
.table{margin:0 0 22px}
.hint{color:var(--mid);font-size:12.5px;line-height:1.4;margin:0 0 6px}
.tools{margin:0 0 6px}
.found{margin:0 0 16px;padding:0;list-style:none;max-width:84ch}
.found li{margin:0 0 5px;padding-left:12px;border-left:3px solid var(--faint);font-size:14px;line-height:1.45}
.found .danger{border-color:var(--stop)}.found .caution{border-color:var(--decide)}.found .danger b{color:var(--stop)}.found .caution b{color:var(--decide)}.found .note b{color:var(--mid)}
.figures{display:flex;flex-wrap:wrap;gap:8px 36px;margin:4px 0 18px}
.figures dt{color:var(--mid);font-size:12.5px}.figures dd{margin:0;font-size:14px}.figures b{font-size:16px;font-weight:600}.figures small{display:block;color:var(--mid);font-size:12px;max-width:34ch}
.steps{margin:14px 0 0;padding-top:14px;border-top:1px solid var(--ink);max-width:84ch}
.steps ol{margin:6px 0 0;padding:0;list-style:none;counter-reset:n}
.steps li{counter-increment:n;position:relative;padding-left:24px;margin:0 0 8px;font-size:14px;line-height:1.45}
.steps li::before{content:counter(n);position:absolute;left:0;font-weight:600;color:var(--new)}
.halt{margin:10px 0 0;padding:9px 14px;border-left:3px solid var(--stop);background:var(--fill);font-size:14px}.halt b{color:var(--stop)}
.cautions h2{font-size:14px;border:0;margin:26px 0 2px;padding:0}
.cautions ul{margin:2px 0;padding-left:16px;color:var(--mid);font-size:12.5px;line-height:1.45}.cautions li{max-width:100ch}
.pictures{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,540px),1fr));gap:18px 40px}
figure{margin:0 0 16px;min-width:0}
figcaption{color:var(--mid);font-size:12.5px;line-height:1.45;max-width:84ch}
.scroll{overflow-x:auto}
.scroll:focus-visible,button:focus-visible,summary:focus-visible,a:focus-visible{outline:3px solid var(--cool);outline-offset:2px}
figure svg{display:block;width:100%;max-width:640px;height:auto;font:12px system-ui,-apple-system,"Segoe UI",Roboto,sans-serif}
.n{display:none}.n svg{max-width:350px}
svg text{fill:var(--mid)}svg .grid line{stroke:var(--faint);stroke-width:1}
.line{fill:none;stroke-width:1.8;stroke-linejoin:round}.dashed{stroke-dasharray:6 4}
.band{stroke:none;opacity:.2}.layer{stroke:var(--ground);stroke-width:.8}
.mark line{stroke-width:1;stroke-dasharray:2 3}.mark .lead{stroke-dasharray:none}
.mark text,.value,.direct,svg .name{paint-order:stroke;stroke:var(--ground);stroke-width:4px;stroke-linejoin:round}
.direct{font-weight:600}.value,svg .name{fill:var(--ink)}
.ranges line{stroke-width:1.8}.bar{opacity:.78}.whisker line{stroke:var(--ink);stroke-width:1.4}.zero line{stroke:var(--mid);stroke-width:1}
${TONES.map(
  (tone) =>
    `.line.${tone},.ranges.${tone} line,.mark.${tone} line{stroke:var(--${tone})}.band.${tone},.layer.${tone},.bar.${tone},.dots.${tone} circle,.ranges.${tone} circle{fill:var(--${tone})}svg .mark.${tone} text,svg .direct.${tone}{fill:var(--${tone})}`,
).join("")}
.legend{display:flex;flex-wrap:wrap;gap:2px 18px;margin:2px 0;padding:0;list-style:none;font-size:12.5px}
.legend svg{display:inline-block;width:22px;height:11px;margin-right:6px;vertical-align:baseline}
details{margin-top:4px;font-size:12.5px}summary{cursor:pointer;color:var(--mid)}
table{border-collapse:collapse;font-variant-numeric:tabular-nums lining-nums;font-size:13px;line-height:1.3;margin:2px 0}
caption{text-align:left;color:var(--mid)}
th,td{padding:2.5px 0 2.5px 12px;text-align:right;vertical-align:bottom;white-space:nowrap}
th:first-child,td:first-child{padding-left:0}
th{font-weight:500;color:var(--mid);font-size:12px;border-bottom:1px solid var(--ink)}th small{display:block;font-size:11px;font-weight:400}
td.text,th.text{text-align:left;white-space:normal}
table.account td.text{color:var(--mid);font-size:12px;min-width:7em}table.account td.text:first-child{color:var(--ink);font-size:13px}
td.strong{font-weight:600;background:var(--fill) padding-box;padding-right:8px;border-left:10px solid var(--ground)}th.strong{color:var(--ink);padding-right:8px;border-left:10px solid var(--ground)}
tr.group th{text-align:left;padding:5px 0 1px;border-bottom:1px solid var(--faint);white-space:normal}tr.dim td{color:var(--mid)}tr.dim td.strong{font-weight:400}
.sums{font-size:13px;margin:5px 0 0}
button{font:inherit;font-size:12px;color:var(--ink);background:var(--fill);border:1px solid var(--mid);border-radius:3px;padding:2px 8px;cursor:pointer}
th button,caption button{margin-left:4px;padding:0 4px;font-size:11px}
code{font:12.5px ui-monospace,"DejaVu Sans Mono",monospace;overflow-wrap:anywhere}
footer{margin-top:40px;color:var(--mid);font-size:12.5px}
nav ul{display:flex;flex-wrap:wrap;gap:2px 18px;list-style:none;padding:0;margin:20px 0 0}
.sheet{display:none}
@media (max-width:62rem){.main{display:block}}
@media (max-width:44rem){body{padding:16px 12px 32px}h1{font-size:21px}.state{font-size:15px}.w{display:none}.n{display:block}.wide{display:none}table{font-size:14px}th,td{padding-left:9px}}
@media print{:root{--ground:#fff;--ink:#000;--mid:#333;--faint:#bbb;--fill:#fff}@page{margin:10mm}body{max-width:none;padding:0}button,nav,.skip,.tools{display:none}
.has-sheet main,.has-sheet footer{display:none}.has-sheet .sheet{display:block;font-size:8pt;line-height:1.2}.sheet+.sheet{break-before:page}
.sheet .head{margin:0 0 4px}
.sheet table{font-size:8pt;line-height:1.13}.sheet th,.sheet td{padding:0 0 0 10px}.sheet small{display:inline;font-size:8pt}.sheet td+td{font-weight:600}
.sheet p{margin:3px 0}.sheet .block,.sheet .todo{display:inline-block;vertical-align:top;margin:0 3mm 3mm 0}.sheet .block{max-width:44mm}.sheet .todo{width:88mm}.sheet .columns{orphans:1;widows:1}.sheet ol{margin:0;padding-left:14px}.sheet .law{font-size:8pt;margin:3px 0}
figure{break-inside:avoid}figure table{font-size:8pt}figure th,figure td{white-space:normal;padding-left:6px;overflow-wrap:anywhere}details{display:block}.scroll{overflow:visible}tr{break-inside:avoid}h2,h3{break-after:avoid}}
`.trim();
