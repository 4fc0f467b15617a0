"""How the proof looks, and the little that it does by JavaScript."""

from __future__ import annotations

SHORT_NAMES = ("art", "words", "numbers", "way", "zones", "marks")

HIDE = "".join(
    f"body:has(#show-{name}:not(:checked)) .sheet>.{name}{{visibility:hidden}}\n"
    for name in SHORT_NAMES
)
"""Layers are hidden by the style sheet alone."""

LOOK = (
    """
:root{--high:calc(100vh - 11rem);--ink:#1d2433;--desk:#e9e6df;--card:#fffdf8;
--deep:#1f4d4a;--warm:#9c1f3c;--rule:#b9b3a4;
--soft:#5b5f69;font:16px/1.5 system-ui,sans-serif;color:var(--ink);background:var(--desk)}
*{box-sizing:border-box}body{margin:0}h1,h2,h3{line-height:1.2;margin:0}
header{padding:1.2rem 1.5rem .6rem}h1{font-size:1.35rem}header p{margin:.3rem 0 0}
a{color:var(--deep)}:focus-visible{outline:3px solid #0b57d0;outline-offset:2px}
.skip{position:absolute;left:-99rem}.skip:focus{left:1rem;top:.5rem;z-index:9;background:#fff;
padding:.5rem}
.desk{position:sticky;top:0;z-index:5;background:var(--desk);border-block:1px solid var(--rule);
padding:.3rem 1.5rem}.tools{display:flex;flex-wrap:wrap;gap:.1rem 2rem}
fieldset{border:0;margin:0;padding:0;display:flex;flex-wrap:wrap;align-items:center;gap:0 .9rem}
legend{float:left;font-weight:650;margin-right:.2rem;padding:0}
label{display:inline-flex;align-items:center;gap:.35rem;min-height:1.9rem;cursor:pointer}
input{width:1.1rem;height:1.1rem;accent-color:var(--deep);margin:0}
nav{display:flex;gap:.6rem}nav b{font-weight:650;padding:.15rem 0}
nav ol{display:flex;flex-wrap:wrap;gap:.1rem;list-style:none;margin:0;padding:.1rem 0}
nav a{display:flex;align-items:center;justify-content:center;gap:.3rem;padding:.15rem .5rem;
min-width:2.2rem;border-radius:.4rem;text-decoration:none}
nav a[aria-current]{background:var(--deep);color:#fff}
nav a:hover{text-decoration:underline}
.count{background:var(--warm);color:#fff;font-size:.75rem;border-radius:1rem;padding:0 .4rem}
main{padding:0 1.5rem 4rem}.page,.book{padding-top:1.4rem;scroll-margin-top:6.6rem}
.page{content-visibility:auto;contain-intrinsic-size:auto calc(var(--high) + 3.2rem)}
.page:focus{outline:none}
h2{font-size:1.1rem;margin-bottom:.5rem}h3{font-size:1rem}
.spread{display:flex;flex-wrap:wrap;align-items:flex-start;gap:1.5rem}
.hold{max-width:100%;overflow:auto}.said{flex:1 1 19rem;min-width:0;max-width:44rem}
.sheet{position:relative;width:var(--size);aspect-ratio:var(--share);background:#fff;
box-shadow:0 1px 6px #0004;--size:min(100%,max(22rem,calc(var(--high)*var(--share))))}
.hold{flex:0 1 max(22rem,calc(var(--high)*var(--share)));position:sticky;top:9.6rem}
.sheet>*{position:absolute;inset:0;width:100%;height:100%;display:block}
body:has(#size-fit:not(:checked)) .hold{position:static}
body:has(#size-wide:checked) .hold{flex-basis:100%}body:has(#size-wide:checked) .sheet{--size:100%}
body:has(#size-print:checked) .hold,body:has(#size-twice:checked) .hold{flex:0 1 auto}
body:has(#size-print:checked) .sheet{--size:calc(var(--wide)*1pt)}
body:has(#size-twice:checked) .sheet{--size:calc(var(--wide)*2pt)}
svg{pointer-events:none}.marks a{pointer-events:auto;cursor:pointer}
svg text{font:700 7.5px system-ui,sans-serif;text-anchor:middle}
.numbers rect{fill:var(--deep);stroke:#fff;stroke-width:.7}.numbers text{fill:#fff}
.way{opacity:.78}.way polyline{fill:none;stroke:#0a6a9c;stroke-width:1.6;stroke-linejoin:round}
.way .under{stroke:#fff;stroke-width:4}.way circle{fill:#0a6a9c;stroke:#fff}.way marker path{
fill:#0a6a9c}
.zones path,.zones circle{fill:#7a4fb51f;stroke:#6a3fa8;stroke-dasharray:3 2}
.zones .panel{fill:none;stroke:#6a3fa8;stroke-dasharray:none}
.zones text{text-anchor:start;font-size:6.5px;fill:#4d2a80;stroke:#fff;stroke-width:2;
paint-order:stroke}
.marks rect,.marks circle{fill:none}.marks .light{stroke:#fff;stroke-width:3}
.marks .frame{stroke:var(--tone);stroke-width:1.3}.marks .disc{fill:#fff;stroke:var(--tone);
stroke-width:2}
.marks text{font-size:9px;fill:var(--tone)}.marks .problem .disc{fill:var(--tone);stroke:#fff}
.marks .problem text{fill:#fff}.marks a:target .frame,.marks a:focus-visible .frame{
stroke-width:3.5}
.marks a:target .disc,.marks a:focus-visible .disc{stroke:#0b57d0;stroke-width:3}
.problem,.warning,.note{--tone:#9c1f3c}.accepted{--tone:#666}
.findings{list-style:none;margin:.5rem 0;padding:0}
.findings li{display:flex;gap:.7rem;background:var(--card);border:1px solid var(--rule);
border-radius:.4rem;padding:.55rem .7rem;margin-bottom:.5rem;scroll-margin-top:9.6rem}
.findings li:target{border-color:#0b57d0;box-shadow:0 0 0 2px #0b57d0}.findings p{margin:0}
.findings a{text-decoration:none;height:2rem;border-radius:1rem}.marks a{scroll-margin-top:10rem}
.sign{display:grid;place-items:center;min-width:2rem;height:2rem;border:2px solid var(--tone);
border-radius:1rem;color:var(--tone);font-weight:700;background:#fff}
.problem .sign{background:var(--tone);color:#fff}.note .sign{border-radius:.2rem}
details{margin-top:.8rem}summary{cursor:pointer;font-weight:650}dl{margin:.3rem 0 1rem}
dt{font-weight:650}dd{margin:0 0 .4rem}.direction{color:var(--soft);font-style:italic}
details h3,details h4{margin:.8rem 0 .2rem;font-size:1rem}details h2{font-size:1rem}
.art{display:flex!important;flex-direction:column;background:#fff}
.art img{display:block;width:100%;flex:1 1 0;min-height:0}
@media(max-width:44rem){header,main,.desk{padding-inline:.8rem}
.desk{display:contents}.tools{padding:.3rem .8rem;border-top:1px solid var(--rule)}
nav{position:sticky;top:0;z-index:5;background:var(--desk);border-block:1px solid var(--rule);
padding:.1rem .8rem}nav ol{flex-wrap:nowrap;overflow-x:auto;scrollbar-width:thin}
nav b{position:absolute;left:-99rem}label{min-height:2.4rem}
.page{contain-intrinsic-size:auto 52rem}.page,.book,.findings li{scroll-margin-top:3.5rem}
.hold{flex-basis:100%;position:static}
nav a{min-width:2.4rem;min-height:2.2rem}.sheet{--size:100%}}
@media print{.desk,.skip{display:none}.page{break-inside:avoid;content-visibility:visible}}
"""
    + HIDE
)

SCRIPT = """
const links=new Map([...document.querySelectorAll("nav a")].map(a=>[a.hash.slice(1),a]));
const seen=new IntersectionObserver(all=>{for(const one of all)if(one.isIntersecting){
for(const a of links.values())a.removeAttribute("aria-current");
const a=links.get(one.target.id);a.setAttribute("aria-current","true");
const row=a.closest("ol");row.scrollLeft=a.offsetLeft-row.offsetLeft-row.clientWidth/2}},
{rootMargin:"-45% 0px -50% 0px"});
document.querySelectorAll(".page").forEach(page=>seen.observe(page));
"""
