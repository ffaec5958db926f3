import { laplaceTest, milHandbook189, uniformSumUpper } from "@/lib/statistics/trend";
import { findRoot } from "@/lib/statistics/root";
import { readFileSync } from "node:fs";
const j = JSON.parse(readFileSync("/work/shared/reference/stats/laplace_exact.json","utf8"));
let w=0; for (const [n,s,z,p] of j.expected){ const e=Math.abs(uniformSumUpper(s,n)-p)/p; if(e>w){w=e;console.log(n,s,z,p,e)} }
let calls=0;
console.log(findRoot(x=>{calls++;return Math.cos(x)-x},{low:0,high:1}),calls);calls=0;
console.log(findRoot(x=>{calls++;return x**3-2},{low:0,high:100}),calls);calls=0;
console.log(findRoot(x=>{calls++;return Math.exp(x)-1e-5},{low:-1000,high:100}), Math.log(1e-5), calls);
