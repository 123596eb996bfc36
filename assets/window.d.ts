/* What the page's window holds beside a browser's own: Dash and its renderer. */
interface Window {
  dash_clientside: {
    set_props(id: string, props: Record<string, unknown>): void;
    callback_context: { inputs_list: { id: string; property: string; value: any }[] };
    page?: { told(): void };
  };
  DashRenderer: new () => unknown;
  renderer: unknown;
}
