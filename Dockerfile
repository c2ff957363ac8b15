# A static binary on nothing: no shell, no package, no root.
FROM golang:1.26 AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
ARG VERSION=unversioned
RUN CGO_ENABLED=0 go build -trimpath -ldflags "-s -w -X main.version=${VERSION}" -o /out/rodcall ./bot \
 && mkdir -p /out/data

FROM scratch
# The certificates are needed to reach Slack, and a database over TLS.
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/
COPY --from=build --chown=65532:65532 /out/data /data
COPY --from=build /out/rodcall /rodcall
USER 65532:65532
WORKDIR /data
VOLUME /data
ENV RODCALL_STORE_PATH=/data/rodcall.db
HEALTHCHECK --interval=30s --timeout=5s --start-period=5s CMD ["/rodcall", "config", "--check"]
ENTRYPOINT ["/rodcall"]
CMD ["serve"]
