// A slider that stands where the hand put it. Every step is numbered; an answer of the server that
// knows of fewer steps than the hand has made is not shown. Of the steps made while the server is
// busy with one, only the newest is sent, and the last always is.
const PAUSE = 50; // ms at least between two steps that are sent
const PATIENCE = 2000; // ms after which an answer is not waited for any more

export default {
  inheritAttrs: false,
  template: `
    <q-slider ref="qRef" v-bind="$attrs" :id="id" :model-value="at" @update:model-value="turned"
      @change="released"></q-slider>`,
  props: { value: Number, seen: Number, id: String, loopback: Boolean },
  emits: ["turned", "change", "update:value"],
  data() {
    const known = this.seen ?? 0;
    return { at: this.value, edit: known, sent: known, flying: 0, waiting: 0, letGo: false };
  },
  watch: {
    value() { this.answered(); },
    seen() { this.answered(); },
  },
  methods: {
    answered() {
      const known = this.seen ?? 0;
      if (known >= this.sent) this.flying = 0;
      if (known >= this.edit) {
        this.edit = this.sent = known;
        this.at = this.value;
      }
      this.send();
    },
    told() { return { at: this.at, edit: this.edit }; },
    turned(at) {
      if (at === this.at) return;
      this.at = at;
      this.edit += 1;
      this.send();
    },
    released(at) {
      this.turned(at);
      this.letGo = true;
      this.send();
    },
    send() {
      if (this.waiting) return;
      if (this.sent === this.edit && !this.letGo) return;
      if (!this.flying || performance.now() - this.flying > PATIENCE) this.emitAll();
      this.waiting = setTimeout(() => { this.waiting = 0; this.send(); }, PAUSE);
    },
    emitAll() {
      if (this.sent !== this.edit) {
        this.sent = this.edit;
        this.flying = performance.now();
        this.$emit("turned", this.told());
      }
      if (this.letGo) this.$emit("change", this.told());
      this.letGo = false;
    },
  },
  beforeUnmount() {
    clearTimeout(this.waiting);
    this.emitAll();
  },
};
