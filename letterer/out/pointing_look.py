"""How the page for pointing looks, and what it does: the style sheet and the JavaScript."""

from __future__ import annotations

LOOK = """
:root{--ink:#1d2433;--desk:#e9e6df;--card:#fffdf8;--deep:#1f4d4a;--rule:#b9b3a4;--mouth:#b3261e;
--zone:#5b3aa0;--focus:#0a6a9c;font:16px/1.45 system-ui,sans-serif;color:var(--ink);
background:var(--desk)}
*{box-sizing:border-box}body{margin:0}h1{font-size:1.1rem;margin:0 auto 0 0}h1 span{font-weight:400}
h2{font-size:1rem;margin:1rem 0 .3rem}header{position:sticky;top:0;z-index:5;display:flex;
flex-wrap:wrap;align-items:center;gap:.4rem .8rem;padding:.5rem 1rem;background:var(--desk);
border-bottom:1px solid var(--rule)}#next{flex-basis:100%;margin:0}code{background:#fff;
padding:.1rem .35rem;border-radius:.25rem;overflow-wrap:anywhere}
main{display:flex;flex-wrap:wrap;align-items:flex-start;gap:1rem;padding:1rem}
#hold{flex:3 1 24rem;min-width:0}aside{flex:1 1 19rem;max-width:30rem;position:sticky;top:4.4rem;
max-height:calc(100vh - 5rem);overflow:auto;padding-right:.3rem}
#sheet{display:block;width:min(100%,calc(92vh*var(--share)));aspect-ratio:var(--share);
background:#fff;box-shadow:0 1px 6px #0004;touch-action:none;cursor:crosshair}
:focus-visible{outline:3px solid #0b57d0;outline-offset:2px}
#say{position:sticky;top:0;margin:0;padding:.5rem .7rem;background:var(--deep);color:#fff;
border-radius:.4rem;min-height:2.6rem;z-index:2}
button,select,input{font:inherit;min-height:2.1rem;border:1px solid var(--rule);
border-radius:.4rem;background:var(--card);color:inherit;padding:.15rem .6rem}
button:not(:disabled){cursor:pointer}#save{background:var(--deep);color:#fff}
#list button{display:block;width:100%;text-align:left;margin:.2rem 0;overflow:hidden;
text-overflow:ellipsis;white-space:nowrap}#list button[aria-pressed=true]{outline:3px solid #0b57d0}
#list button.there::before{content:"\\2713\\00a0";color:var(--deep);font-weight:700}
#list label{display:flex;gap:.4rem;align-items:center}#list label input{flex:1;min-width:0}
.panel{fill:none;stroke:var(--deep);stroke-width:1.2}.number{font:700 9px system-ui,sans-serif;
fill:var(--deep);stroke:#fff;stroke-width:2.5;paint-order:stroke}
.zone{fill:#5b3aa022;stroke:var(--zone);stroke-dasharray:4 2.5}.focus circle{fill:#0a6a9c33;
stroke:var(--focus);stroke-width:1.5}.mouth circle{fill:#fff;stroke:var(--mouth);stroke-width:2}
.mouth text,.zone+text,.focus text{font:600 7.5px system-ui,sans-serif;stroke:#fff;
stroke-width:2.5;paint-order:stroke;pointer-events:none}.mouth text{fill:var(--mouth)}
.zone+text{fill:var(--zone)}.focus text{fill:var(--focus)}[data-key]{cursor:grab}
.unit{opacity:.9}.unit rect{fill:#fff;fill-opacity:.01}.chosen{outline:none}
.chosen circle,.chosen.zone,.chosen .zone{stroke:#0b57d0;stroke-width:3}
.unit.chosen rect{stroke:#0b57d0;stroke-width:2}
.shown{stroke:#0b57d0;stroke-width:2}.cross{stroke:#0b57d0;stroke-width:1.4;fill:none;pointer-events:none}
@media(max-width:44rem){aside{position:static;max-height:none;max-width:none}}
"""

SCRIPT = r"""
'use strict';
const D=JSON.parse(document.getElementById('data').textContent);
const $=id=>document.getElementById(id),NS='http://www.w3.org/2000/svg';
const sheet=$('sheet'),list=$('list'),say=$('say');
// What is shown now: for each page its mouths, zones, focus points and middles of balloons.
const fresh=()=>D.pages.map(p=>({
 mouths:Object.fromEntries(p.panels.map(q=>[q.panel,{...q.mouths}])),
 zones:p.keep_clear.map(z=>({name:z.name,dx:0,dy:0,gone:false})),newZones:[],
 focus:p.focus.map(f=>({name:f.name,at:f.at,gone:false})),newFocus:[],
 units:Object.fromEntries(p.units.map(u=>[u.unit,u.at])),panels:{}}));
let S=fresh(),past=[],at=0,armed=null,chosen=null,drag=null,corner=null,cross=null,saved=true;
let corners=[]; // of the panel whose outline is being shown
const page=()=>D.pages[at],now=()=>S[at];
const round=v=>Math.round(v*100)/100,point=(x,y)=>[round(x),round(y)];

function changed(act){past.push(JSON.stringify(S));act();saved=false;show();}
function el(name,attributes,parent,text){const e=document.createElementNS(NS,name);
 for(const k in attributes)e.setAttribute(k,attributes[k]);
 if(text!==undefined)e.textContent=text;parent.appendChild(e);return e;}
function wanted(){const names=[];for(const q of page().panels){
 const all=[...new Set([...q.wanted,...Object.keys(now().mouths[q.panel])])];
 for(const name of all)names.push({kind:'mouth',panel:q.panel,name});}return names;}
const keyOf=i=>[i.kind,i.panel??'',i.name??i.unit??i.index??''].join('|');
function items(){const n=now();return [...wanted(),
 ...page().units.map(u=>({kind:'unit',unit:u.unit})),
 ...n.zones.map((z,index)=>({kind:'zone',index})).filter(i=>!n.zones[i.index].gone),
 ...n.newZones.map((z,index)=>({kind:'newZone',index})),
 ...n.focus.map((f,index)=>({kind:'focus',index})).filter(i=>!n.focus[i.index].gone),
 ...n.newFocus.map((f,index)=>({kind:'newFocus',index}))];}
function placeOf(i){const n=now();switch(i.kind){
 case'mouth':return n.mouths[i.panel][i.name]||null;case'unit':return n.units[i.unit];
 case'focus':return n.focus[i.index].at;case'newFocus':return n.newFocus[i.index].at;
 case'zone':{const z=n.zones[i.index],b=page().keep_clear[i.index].box;
  return [(b[0]+b[2])/2+z.dx,(b[1]+b[3])/2+z.dy];}
 case'newZone':{const b=n.newZones[i.index].box;return [b[0]+b[2]/2,b[1]+b[3]/2];}}}
function put(i,x,y){const n=now(),p=point(x,y);switch(i.kind){
 case'mouth':n.mouths[i.panel][i.name]=p;break;case'unit':n.units[i.unit]=p;break;
 case'focus':n.focus[i.index].at=p;break;case'newFocus':n.newFocus[i.index].at=p;break;
 case'zone':{const b=page().keep_clear[i.index].box,z=n.zones[i.index];
  z.dx=round(x-(b[0]+b[2])/2);z.dy=round(y-(b[1]+b[3])/2);break;}
 case'newZone':{const b=n.newZones[i.index].box;n.newZones[i.index].box=
  [round(x-b[2]/2),round(y-b[3]/2),b[2],b[3]];}}}
function remove(i){const n=now();switch(i.kind){
 case'mouth':n.mouths[i.panel][i.name]=null;break;
 case'unit':n.units[i.unit]=page().units.find(u=>u.unit===i.unit).at;break;
 case'zone':n.zones[i.index].gone=true;break;case'newZone':n.newZones.splice(i.index,1);break;
 case'focus':n.focus[i.index].gone=true;break;case'newFocus':n.newFocus.splice(i.index,1);}}
function told(i){const n=now();switch(i.kind){
 case'panel':return `Panel ${i.panel}`;
 case'mouth':return `Panel ${i.panel}: ${i.name}`;
 case'unit':{const u=page().units.find(o=>o.unit===i.unit);
  return `${u.unit}  ${u.speaker?u.speaker+': ':''}${u.words}`;}
 case'zone':return n.zones[i.index].name;case'newZone':return n.newZones[i.index].name;
 case'focus':return n.focus[i.index].name;case'newFocus':return n.newFocus[i.index].name;}}
function asks(i){if(!i)return 'Choose in the list what to show. What is there can be dragged.';
 switch(i.kind){case'mouth':return `Point at the mouth of ${i.name} in panel ${i.panel}.`;
 case'unit':return `Point where the middle of ${i.unit} should be.`;
 case'zone':case'newZone':return `Point where the middle of ${told(i)} is.`;
 case'addZone':return corner?'Now the opposite corner.':
  'Draw a box round what words must not cover: press, move, let go.';
 case'addFocus':return 'Point at what the eye should find.';
 case'panel':return `Point at the corners of panel ${i.panel} in turn. Two opposite corners make`+
  ' a box. Then press Enter, or Done.';
 default:return `Point at ${told(i)}.`;}}

function build(){ // a page anew: its art, panels and drawn balloons; the rest is moved by show()
 const p=page(),b=p.box;sheet.replaceChildren();sheet.setAttribute('viewBox',b.join(' '));
 document.documentElement.style.setProperty('--share',b[2]/b[3]);
 if(p.art)el('image',{href:p.art,x:b[0],y:b[1],width:b[2],height:b[3],opacity:.8,
  preserveAspectRatio:'none'},sheet);
 for(const q of p.panels){el('path',{class:'panel',d:q.d},sheet);
  el('text',{class:'number',x:q.at[0]+4,y:q.at[1]+11},sheet,q.panel);}
 for(const u of p.units){const g=el('g',{class:'unit','data-key':keyOf({kind:'unit',unit:u.unit})},
  sheet);g.innerHTML=u.svg||`<text class="number" text-anchor="middle">${u.unit}</text>`;
  const r=g.getBBox();el('rect',{x:r.x,y:r.y,width:r.width,height:r.height,rx:6},g);}
 el('g',{id:'marks'},sheet);show();}
function show(){const n=now(),marks=$('marks');marks.replaceChildren();
 for(const u of page().units){const g=sheet.querySelector(`[data-key="unit||${u.unit}"]`),
  a=n.units[u.unit];g.style.display=a?'':'none';
  if(a)g.setAttribute('transform',`translate(${a[0]} ${a[1]})`);}
 for(const i of items()){const key=keyOf(i),a=placeOf(i);if(!a||i.kind==='unit')continue;
  const g=el('g',{'data-key':key,class:i.kind.replace('new','').toLowerCase()},marks);
  if(i.kind==='zone'){const z=n.zones[i.index],d=page().keep_clear[i.index].d;
   g.removeAttribute('class');
   el('path',{class:'zone',d,transform:`translate(${z.dx} ${z.dy})`},g);
   el('text',{x:a[0],y:page().keep_clear[i.index].box[1]+z.dy-2,'text-anchor':'middle'},g,z.name);}
  else if(i.kind==='newZone'){const b=n.newZones[i.index].box;g.removeAttribute('class');
   el('rect',{class:'zone',x:b[0],y:b[1],width:b[2],height:b[3]},g);
   el('text',{x:a[0],y:b[1]-2,'text-anchor':'middle'},g,n.newZones[i.index].name);}
  else{el('circle',{cx:a[0],cy:a[1],r:i.kind==='mouth'?4:7},g);
   el('text',{x:a[0]+7,y:a[1]+2.5},g,i.kind==='mouth'?i.name:told(i));}}
 for(const e of sheet.querySelectorAll('[data-key]'))
  e.classList.toggle('chosen',chosen!==null&&e.dataset.key===keyOf(chosen));
 for(const q of Object.keys(n.panels)){const c=n.panels[q];
  const d=c.length>2?'M'+c.map(a=>a.join(' ')).join('L')+'Z':`M${c[0][0]} ${c[0][1]}H${c[1][0]}V`+
   `${c[1][1]}H${c[0][0]}Z`;el('path',{class:'panel shown',d},marks);
  el('text',{class:'number',x:c[0][0]+4,y:c[0][1]+11},marks,q);}
 if(corners.length)el('path',{class:'cross',d:'M'+corners.map(a=>a.join(' ')).join('L')},marks);
 for(const c of corners)el('circle',{class:'cross',cx:c[0],cy:c[1],r:3},marks);
 if(cross){const [x,y]=cross;el('path',{class:'cross',
  d:`M${x-9} ${y}h18M${x} ${y-9}v18`+
   (corner?`M${corner[0]} ${corner[1]}H${x}V${y}H${corner[0]}Z`:'')},marks);}
 say.textContent=asks(armed)+(chosen&&!armed?` Chosen: ${told(chosen)}. Delete takes it away.`:'');
 $('undo').disabled=!past.length;fill();}
function head(text){const h=document.createElement('h2');h.textContent=text;list.append(h);}
function button(text,item,there){const b=document.createElement('button');b.type='button';
 b.textContent=text;b.title=text;if(there)b.className='there';
 const key=keyOf(item);b.dataset.item=key;
 b.setAttribute('aria-pressed',armed!==null&&keyOf(armed)===key);
 b.onclick=()=>{if(!armed||keyOf(armed)!==key)arm(item);};list.append(b);}
function naming(i,values){const l=document.createElement('label'),t=document.createElement('input');
 t.value=values[i].name;t.setAttribute('aria-label','Its name');
 t.onchange=()=>{const v=t.value.trim();if(v)changed(()=>{values[i].name=v;});};
 l.append('Name',t);list.append(l);}
function fill(){const on=document.activeElement,kept=on&&on.dataset?on.dataset.item:null,n=now();
 const scroll=list.parentElement.scrollTop;list.replaceChildren();
 const every=items(),some=k=>every.filter(i=>k.includes(i.kind));
 head('Panels');for(const q of page().outlines)button(`Panel ${q}`,{kind:'panel',panel:q},
  n.panels[q]||page().panels.some(o=>o.panel===q));
 if(armed&&armed.kind==='panel'){const b=document.createElement('button');b.textContent='Done';
  b.onclick=()=>arm(null);list.append(b);}
 head('Mouths');for(const i of some(['mouth']))button(told(i),i,placeOf(i));
 if(!some(['mouth']).length)list.append('Nobody speaks in the panels of this page.');
 head('Words');for(const i of some(['unit']))button(told(i),i,placeOf(i));
 head('Kept clear: faces, hands');for(const i of some(['zone']))button(told(i),i,true);
 for(const i of some(['newZone'])){button(told(i),i,true);naming(i.index,n.newZones);}
 button('+ Another',{kind:'addZone'});
 head('What the eye should find');for(const i of some(['focus']))button(told(i),i,true);
 for(const i of some(['newFocus'])){button(told(i),i,true);naming(i.index,n.newFocus);}
 button('+ Another',{kind:'addFocus'});list.parentElement.scrollTop=scroll;
 if(kept){const b=[...list.querySelectorAll('button')].find(o=>o.dataset.item===kept);
  if(b)b.focus({preventScroll:true});}}
function arm(i){if(armed&&armed.kind==='panel')outlined();armed=i;corner=null;
 chosen=i&&(i.kind.startsWith('add')||i.kind==='panel')?null:i;show();}
function onward(i){ // the next mouth or words not shown yet
 if(i.kind!=='mouth'&&i.kind!=='unit')return null;
 const every=items().filter(o=>o.kind==='mouth'||o.kind==='unit'),
  from=every.findIndex(o=>keyOf(o)===keyOf(i));
 return [...every.slice(from+1),...every.slice(0,from)].find(o=>!placeOf(o))||null;}
function pointed(x,y){const i=armed;if(!i)return;
 if(i.kind==='addFocus'){changed(()=>{const f=now().newFocus;
  f.push({name:`focus ${now().focus.length+f.length+1}`,at:point(x,y)});});arm(null);return;}
 if(i.kind==='panel'){corners.push(point(x,y));show();return;}
 if(i.kind==='addZone')return;
 past.push(JSON.stringify(S));saved=false;put(i,x,y);arm(onward(i));}
function outlined(){const c=corners,i=armed;corners=[];
 if(c.length>1)changed(()=>{now().panels[i.panel]=c;});}
function boxed(a,b){const w=Math.abs(a[0]-b[0]),h=Math.abs(a[1]-b[1]);corner=null;
 if(w<4||h<4){show();return;}
 changed(()=>{const z=now().newZones;z.push({name:`kept clear ${now().zones.length+z.length+1}`,
  box:[round(Math.min(a[0],b[0])),round(Math.min(a[1],b[1])),round(w),round(h)]});});arm(null);}
function where(e){const m=sheet.getScreenCTM().inverse(),p=new DOMPoint(e.clientX,e.clientY)
 .matrixTransform(m);return [p.x,p.y];}

sheet.addEventListener('pointerdown',e=>{if(e.button)return;const [x,y]=where(e);
 sheet.setPointerCapture(e.pointerId);cross=null;e.preventDefault();sheet.focus();
 if(armed&&armed.kind==='addZone'){corner=[x,y];drag={box:true};return;}
 if(armed){pointed(x,y);return;}
 const hit=e.target.closest('[data-key]');
 if(!hit){chosen=null;show();return;}
 const i=items().find(o=>keyOf(o)===hit.dataset.key),a=placeOf(i);chosen=i;
 drag={i,dx:a[0]-x,dy:a[1]-y,before:JSON.stringify(S),moved:false};show();});
sheet.addEventListener('pointermove',e=>{if(!drag)return;const [x,y]=where(e);
 if(drag.box){cross=[x,y];show();return;}
 drag.moved=true;put(drag.i,x+drag.dx,y+drag.dy);show();});
sheet.addEventListener('pointerup',e=>{if(!drag)return;const d=drag,[x,y]=where(e);drag=null;
 if(d.box){cross=null;boxed(corner,[x,y]);return;}
 if(d.moved){past.push(d.before);saved=false;}show();});
sheet.addEventListener('pointercancel',()=>{if(drag&&drag.before)S=JSON.parse(drag.before);
 drag=null;corner=null;show();});
const STEP={ArrowLeft:[-1,0],ArrowRight:[1,0],ArrowUp:[0,-1],ArrowDown:[0,1]};
sheet.addEventListener('keydown',e=>{const s=STEP[e.key],far=e.shiftKey?18:2,b=page().box;
 if(s&&armed){e.preventDefault();cross=cross||[b[0]+b[2]/2,b[1]+b[3]/2];
  cross=[Math.min(Math.max(cross[0]+s[0]*far,b[0]),b[0]+b[2]),
   Math.min(Math.max(cross[1]+s[1]*far,b[1]),b[1]+b[3])];show();}
 else if(s&&chosen){e.preventDefault();const a=placeOf(chosen);
  if(a)changed(()=>put(chosen,a[0]+s[0]*far,a[1]+s[1]*far));}
 else if(e.key==='Enter'&&armed&&armed.kind==='panel'&&!cross){e.preventDefault();arm(null);}
 else if(e.key==='Enter'&&armed&&cross){e.preventDefault();
  if(armed.kind!=='addZone')pointed(...cross);
  else if(!corner){corner=[...cross];show();}else boxed(corner,cross);}
 else if((e.key==='Delete'||e.key==='Backspace')&&chosen&&!armed){e.preventDefault();
  const i=chosen;chosen=null;changed(()=>remove(i));}});
document.addEventListener('keydown',e=>{if(e.key==='Escape'){corners=[];arm(null);cross=null;show();}});
$('undo').onclick=()=>{if(past.length){S=JSON.parse(past.pop());armed=chosen=corner=null;corners=[];
 saved=!past.length;show();}};
$('page').onchange=e=>{arm(null);chosen=cross=null;
 at=Number(e.target.value);build();};
function points(){return {'letterer points':1,layout:D.layout,pages:D.pages.map((p,k)=>{
 const n=S[k],mouths={},units={},zones={},focus={};
 for(const q of p.panels){const was=q.mouths,is=n.mouths[q.panel],diff={};
  for(const name in is)if(String(is[name])!==String(was[name]??null)&&(is[name]||was[name]))
   diff[name]=is[name];
  if(Object.keys(diff).length)mouths[q.panel]=diff;}
 for(const u of p.units)if(n.units[u.unit]&&String(n.units[u.unit])!==String(u.at))
  units[u.unit]=n.units[u.unit];
 n.zones.forEach((z,i)=>{if(z.gone)zones[i]=null;else if(z.dx||z.dy)zones[i]=[z.dx,z.dy];});
 n.focus.forEach((f,i)=>{if(f.gone)focus[i]=null;
  else if(String(f.at)!==String(p.focus[i].at))focus[i]=f.at;});
 const said=Object.fromEntries(p.units.filter(u=>units[u.unit])
  .map(u=>[u.unit,[u.words,u.speaker]]));
 return {page:p.page,panels:n.panels,mouths,units,said,keep_clear:{moved:zones,added:n.newZones},
  focus:{moved:focus,added:n.newFocus}};})};}
$('save').onclick=()=>{const a=document.createElement('a');
 a.href=URL.createObjectURL(new Blob([JSON.stringify(points(),null,1)+'\n'],
  {type:'application/json'}));a.download='points.json';a.click();
 setTimeout(()=>URL.revokeObjectURL(a.href),9e3);saved=true;$('next').hidden=false;};
window.addEventListener('beforeunload',e=>{if(!saved)e.preventDefault();});
build();const first=items().find(i=>!placeOf(i));if(first)arm(first);
"""
