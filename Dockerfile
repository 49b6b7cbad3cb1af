# Builds the program on Debian's Rust image and runs it, as a user of its own, on a small Debian.

FROM rust:1.95-bookworm AS build
WORKDIR /source
COPY . .
RUN cargo build --release --locked --package web --bin bartack

FROM debian:bookworm-slim
RUN useradd --system --create-home --home-dir /var/lib/bartack --shell /usr/sbin/nologin bartack
COPY --from=build /source/target/release/bartack /usr/local/bin/bartack
COPY LICENSE /usr/share/doc/bartack/LICENSE
USER bartack
WORKDIR /var/lib/bartack
# Uploaded packs that wait and, unless DATABASE_URL says otherwise, the embedded database, and the photographs.
VOLUME /var/lib/bartack
ENV BARTACK_DATA=/var/lib/bartack BARTACK_LISTEN=0.0.0.0:8040
EXPOSE 8040
STOPSIGNAL SIGTERM
# The image has no curl; bash can ask by itself.
HEALTHCHECK --interval=30s --timeout=5s --start-period=30s CMD ["bash", "-c", \
  "exec 3<>/dev/tcp/127.0.0.1/8040 && printf 'GET /healthz HTTP/1.0\\r\\n\\r\\n' >&3 && grep -q ' 200 ' <&3"]
ENTRYPOINT ["bartack"]
CMD ["serve"]
