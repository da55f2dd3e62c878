"""How the page looks: on a telephone first, wider where there is room, and on paper. Black on white throughout."""

STYLE = """
:root{color-scheme:light}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{margin:0;background:#fff;color:#111;font:16px/1.45 Arial,Helvetica,"Liberation Sans",sans-serif;
overflow-wrap:break-word}
header,main,footer{max-width:1160px;margin:0 auto;padding:0 10px}
h1{font-size:1.5rem;margin:.6rem 0 .3rem}
h2{font-size:1.3rem;margin:2rem 0 .5rem;padding:.35rem .5rem;border-top:4px solid #111;background:#ececec}
h3{font-size:1.1rem;margin:1.4rem 0 .4rem;border-bottom:2px solid #111}
h4{font-size:1rem;margin:1rem 0 .3rem}
p,ul{margin:.4rem 0}
ul{padding-left:1.2rem}
a{color:#0a2f7a}
a:focus-visible,summary:focus-visible,input:focus-visible{outline:3px solid #0a2f7a;outline-offset:2px}
nav ul{list-style:none;display:flex;flex-wrap:wrap;gap:6px;padding:0;margin:.5rem 0}
nav a{display:block;overflow-wrap:anywhere;padding:.55rem .7rem;
border:1px solid #111;border-radius:3px;text-decoration:none}
.claim{font-size:1.2rem;font-weight:bold}
.key-figures{display:grid;grid-template-columns:repeat(auto-fill,minmax(145px,1fr));gap:6px;margin:.6rem 0}
.key-figures div{border:1px solid #777;padding:.4rem .5rem}
.key-figures dt{font-size:.85rem}
.key-figures dd{margin:0;font-size:1.15rem;font-weight:bold}
.key-figures small{display:block;font-weight:normal;font-size:.8rem}
.beware{border:2px solid #111;border-left-width:10px;padding:.4rem .6rem;margin:.4rem 0}
.beware b:first-child{letter-spacing:.03em}
.times{font-size:1.1rem}
.around{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-size:.9rem}
th,td{text-align:left;vertical-align:top;padding:.25rem .4rem;border-bottom:1px solid #999}
th{border-bottom:2px solid #111}
.n{text-align:right;font-variant-numeric:tabular-nums}
.bar{display:inline-block;width:46px;height:.7em;border:1px solid #111;background:#fff;margin-right:3px}
.bar i{display:block;height:100%;background:#444}
.picture{margin:.5rem 0}
.picture svg{display:block;width:100%;height:auto;stroke-linejoin:round}
svg text{font-family:Arial,Helvetica,"Liberation Sans",sans-serif}
svg a text{text-decoration:underline}
.outlined{stroke:#fff;stroke-width:4px;paint-order:stroke}
.status{white-space:nowrap;font-weight:bold}
.day a text{text-decoration:none}
svg.hidden{position:absolute}
.picture svg.wide{display:none}
.legend{display:flex;flex-wrap:wrap;gap:4px 14px;align-items:center}
.key{white-space:nowrap}
.key svg{vertical-align:middle}
details{margin:.5rem 0;border:1px solid #777;padding:0 .5rem}
summary{padding:.5rem 0;font-weight:bold;cursor:pointer}
.checks{list-style:none;padding:0}
.checks label{display:block;padding:.35rem 0 .35rem 2rem;text-indent:-2rem}
.checks input{width:1.3rem;height:1.3rem;margin:0 .7rem 0 0;vertical-align:middle}
.sign{display:flex;flex-wrap:wrap;gap:1.2rem;margin:1.6rem 0 .6rem}
.sign span{flex:1 1 200px;border-bottom:1px solid #111;padding-bottom:1.6rem}
.line{display:block}
a[href^="tel:"],a[href^="geo:"]{white-space:nowrap}
.digest{font-family:"Courier New",monospace;font-size:.8rem;word-break:break-all}
.small{font-size:.85rem}
@media screen and (max-width:719px){
table.stacked,.stacked tbody,.stacked tr,.stacked td{display:block;width:100%}
.stacked thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.stacked tr{border:1px solid #555;margin:.5rem 0;padding:.3rem .5rem}
.stacked td,.stacked .n{display:grid;grid-template-columns:7.2rem minmax(0,1fr);overflow-wrap:anywhere;
gap:.5rem;text-align:left;border:0;
padding:.12rem 0;font-size:1rem}
.stacked td::before{content:attr(data-label);font-size:.85rem;color:#333}
.stacked td.empty{display:none}
.plain th,.plain td{padding:.25rem .2rem}
}
@media print,(min-width:720px){
.picture svg.wide{display:block}
.picture svg.narrow{display:none}
header,main,footer{padding:0 16px}
.plain .n{white-space:nowrap}
}
@page{margin:12mm}
@media print{
body{font-size:10pt;line-height:1.3}
header,main,footer{max-width:none;padding:0 1px}
nav,.top,details{display:none}
.line{display:inline}
.line+.line::before{content:"; "}
table{font-size:9pt}
th,td{padding:.15rem .4rem}
.bar{width:40px}
a{color:#111;text-decoration:none}
h1,h2,h3,h4{break-after:avoid}
h2{margin-top:.4rem}
h3{margin-top:.8rem}
.rig{break-before:page}
tr,.picture,.beware,.checks li,.key-figures div,.leg{break-inside:avoid}
thead{display:table-header-group}
.bar,.bar i,h2{print-color-adjust:exact;-webkit-print-color-adjust:exact}
.around{overflow:visible}
}
"""
"""Style sheet of the page. Nothing in it is fetched from anywhere."""
