// Style sheets are imported for their effect; the bundler makes one file a page of them.
declare module "*.css";
