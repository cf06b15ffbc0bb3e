// A text field that keeps what the hand types. Every edit is numbered; what the server shows says
// which edit it knows of, and an answer that knows less than the hand has done is not shown.
export default {
  inheritAttrs: false,
  template: `
    <q-input ref="qRef" v-bind="$attrs" :model-value="text" @update:model-value="typed"
      @blur="leave" @keydown="pressed"></q-input>`,
  props: { value: String, seen: Number, pause: Number, path: String, id: String,
    loopback: Boolean, _autocomplete: Array },
  emits: ["typed", "blur", "keydown", "update:value"],
  data() {
    return { text: this.value ?? "", edit: this.seen ?? 0, dirty: false, waiting: 0 };
  },
  watch: {
    value() { this.answered(); },
    seen() { this.answered(); },
  },
  methods: {
    answered() {
      if ((this.seen ?? 0) < this.edit) return;
      this.edit = this.seen ?? 0;
      this.text = this.value ?? "";
    },
    updateValue() { this.answered(); },
    told() { return { text: this.text, edit: this.edit }; },
    typed(text) {
      this.text = text ?? "";
      this.edit += 1;
      this.dirty = true;
      clearTimeout(this.waiting);
      if (this.pause) this.waiting = setTimeout(() => this.$emit("typed", this.told()), this.pause);
      else this.$emit("typed", this.told());
    },
    done(event, more) {
      clearTimeout(this.waiting);
      this.dirty = false;
      this.$emit(event, { ...more, ...this.told() });
    },
    leave() { this.done("blur", {}); },
    pressed(event) {
      const takes = event.key === "Enter" && this.$attrs.type !== "textarea" && !event.isComposing;
      if (takes || event.key === "Escape") this.done("keydown", { key: event.key });
    },
    field() { return this.$refs.qRef?.nativeEl; },
  },
  // A page that is built again takes over the field in which a hand is at work.
  beforeUnmount() {
    clearTimeout(this.waiting);
    const field = this.field();
    if (!this.path || !field || document.activeElement !== field) return;
    window.swHand = { path: this.path, text: this.text, dirty: this.dirty, at: performance.now(),
      from: field.selectionStart, to: field.selectionEnd };
  },
  mounted() {
    const hand = window.swHand;
    if (!hand || !this.path || hand.path !== this.path) return;
    delete window.swHand;
    if (performance.now() - hand.at > 3000) return;
    if (hand.dirty) this.typed(hand.text);
    this.$nextTick(() => {
      const field = this.field();
      if (!field || document.activeElement !== document.body) return;
      field.focus({ preventScroll: true });
      if (hand.dirty) field.setSelectionRange?.(hand.from, hand.to);
    });
  },
};
