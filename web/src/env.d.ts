declare const __VERSION__: string;
interface ImportMeta { readonly env: { readonly PROD: boolean } }
declare module "*.css";
